// The waveform, with the chosen span and what lies over it.

/** @param {HTMLCanvasElement} canvas @param {number} clientX @param {number} seconds */
export function spanAt(canvas, clientX, seconds) {
  const box = canvas.getBoundingClientRect();
  return Math.min(seconds, Math.max(0, ((clientX - box.left) / box.width) * seconds));
}

/** The event whose start lies under the pointer, -1 for none. @param {HTMLCanvasElement} canvas @param {number} clientX @param {number} seconds @param {{start_s: number}[]} events */
export function eventAt(canvas, clientX, seconds, events) {
  const reach = (6 / canvas.getBoundingClientRect().width) * seconds;
  const at = spanAt(canvas, clientX, seconds);
  return events.findIndex((event) => Math.abs(event.start_s - at) < reach);
}

/** @param {HTMLCanvasElement} canvas @param {number[]} peaks 0 to 1 @param {number} seconds @param {{from: number, to: number}} span @param {{start_s: number, end_s: number, label: string}[]} events */
export function drawWave(canvas, peaks, seconds, span, events) {
  const sharp = devicePixelRatio || 1;
  canvas.width = Math.round(canvas.clientWidth * sharp);
  canvas.height = Math.round(canvas.clientHeight * sharp);
  const pen = canvas.getContext("2d");
  if (!pen) return;
  pen.scale(sharp, sharp);
  const look = getComputedStyle(canvas);
  const colour = (/** @type {string} */ name) => look.getPropertyValue(name).trim();
  const [width, height] = [canvas.clientWidth, canvas.clientHeight];
  const x = (/** @type {number} */ second) => (second / seconds) * width;
  pen.fillStyle = colour("--hairline");
  pen.fillRect(x(span.from), 0, x(span.to) - x(span.from), height);
  pen.fillStyle = colour("--ink");
  const wide = width / peaks.length;
  peaks.forEach((peak, index) => {
    const tall = Math.max(1, peak * (height - 44));
    pen.fillRect(index * wide, 34 + (height - 44 - tall) / 2, Math.max(0.6, wide - 0.3), tall);
  });
  pen.fillStyle = colour("--accent");
  pen.font = "600 15px 'Gripwright Sans', sans-serif";
  let free = -1;
  for (const event of events) {
    const told = x(event.start_s) >= free;
    pen.globalAlpha = told ? 1 : 0.35;
    pen.fillRect(x(event.start_s), told ? 4 : 34, told ? 1.5 : 1, height);
    if (!told) continue;
    pen.fillText(event.label, x(event.start_s) + 5, 20);
    free = x(event.start_s) + 14 + pen.measureText(event.label).width;
  }
  pen.globalAlpha = 1;
}
