// The waveform, with the chosen span and what lies over it.

/** @param {HTMLCanvasElement} canvas @param {number} clientX @param {number} seconds */
export function spanAt(canvas, clientX, seconds) {
  const box = canvas.getBoundingClientRect();
  return Math.min(seconds, Math.max(0, ((clientX - box.left) / box.width) * seconds));
}

/** @param {HTMLCanvasElement} canvas @param {number[]} peaks 0 to 1 @param {number} seconds @param {{from: number, to: number}} span @param {{start_s: number, end_s: number, label: string}[]} events */
export function drawWave(canvas, peaks, seconds, span, events) {
  const pen = canvas.getContext("2d");
  if (!pen) return;
  const look = getComputedStyle(canvas);
  const colour = (/** @type {string} */ name) => look.getPropertyValue(name).trim();
  const { width, height } = canvas;
  const x = (/** @type {number} */ second) => (second / seconds) * width;
  pen.clearRect(0, 0, width, height);
  pen.fillStyle = colour("--hairline");
  pen.fillRect(x(span.from), 0, x(span.to) - x(span.from), height);
  pen.fillStyle = colour("--ink");
  const wide = width / peaks.length;
  peaks.forEach((peak, index) => {
    const tall = Math.max(1, peak * (height - 60));
    pen.fillRect(index * wide, 40 + (height - 60 - tall) / 2, Math.max(1, wide - 0.5), tall);
  });
  pen.fillStyle = colour("--accent");
  pen.font = "600 22px 'Gripwright Sans', sans-serif";
  let free = -1;
  for (const event of events) {
    pen.fillRect(x(event.start_s), 0, 2, height);
    if (x(event.start_s) < free) continue;
    pen.fillText(event.label, x(event.start_s) + 6, 24);
    free = x(event.start_s) + 16 + pen.measureText(event.label).width;
  }
}
