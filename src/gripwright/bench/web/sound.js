// Plucked strings in the browser: one rendered buffer a pitch, kept, started on the audio clock.

/** @type {AudioContext | null} */
let context = null;
/** @type {Map<number, AudioBuffer>} */
const bank = new Map();
/** @type {GainNode[]} */
let ringing = [];
const LENGTH_S = 2.6;
const SPREAD_S = 0.022;

/** The audio clock of this window, started at the first sound. */
export function clock() {
  context ??= new AudioContext({ latencyHint: "interactive" });
  if (context.state === "suspended") void context.resume();
  return context;
}

/**
 * A plucked string: a delay line fed by a burst, averaged each time round (Karplus and Strong,
 * Computer Music Journal 7(2), 1983), read at a fractional place so that it is in tune.
 * @param {number} midi @param {AudioContext} audio
 */
function pluck(midi, audio) {
  const known = bank.get(midi);
  if (known) return known;
  const rate = audio.sampleRate;
  const period = rate / (440 * 2 ** ((midi - 69) / 12)) - 0.5;
  const size = Math.floor(period);
  const part = period - size;
  const out = new Float32Array(Math.floor(LENGTH_S * rate));
  let seed = 9301 + midi;
  for (let i = 0; i <= size; i += 1) {
    seed = (seed * 16807) % 2147483647;
    out[i] = (seed / 2147483647) * 2 - 1;
  }
  for (let i = 1; i <= size; i += 1) out[i] = 0.5 * (out[i] + out[i - 1]);
  const loss = Math.min(0.9985, 0.9965 ** (midi < 52 ? 0.4 : 1));
  for (let i = size + 2; i < out.length; i += 1) {
    const near = out[i - size] + part * (out[i - size - 1] - out[i - size]);
    const far = out[i - size - 1] + part * ((out[i - size - 2] ?? 0) - out[i - size - 1]);
    out[i] = loss * 0.5 * (near + far);
  }
  const buffer = audio.createBuffer(1, out.length, rate);
  const fade = Math.floor(0.3 * rate);
  for (let i = 0; i < fade; i += 1) out[out.length - 1 - i] *= i / fade;
  buffer.copyToChannel(out, 0);
  bank.set(midi, buffer);
  return buffer;
}

/** Let everything that rings die away. */
export function hush() {
  if (!context) return;
  for (const gain of ringing) gain.gain.setTargetAtTime(0, context.currentTime, 0.03);
  ringing = [];
}

/** Strum pitches, bass first. @param {number[]} midi @param {{at?: number, spread?: number, loud?: number}} [how] */
export function strum(midi, how = {}) {
  const audio = clock();
  if (how.at === undefined) hush();
  const start = how.at ?? audio.currentTime + 0.004;
  midi.forEach((pitch, index) => {
    const source = audio.createBufferSource();
    const gain = audio.createGain();
    gain.gain.value = (how.loud ?? 0.5) / Math.sqrt(Math.max(1, midi.length));
    source.buffer = pluck(pitch, audio);
    source.connect(gain).connect(audio.destination);
    source.start(start + index * (how.spread ?? SPREAD_S));
    ringing.push(gain);
  });
}

/** Run once the teacher has touched the page: browsers let no sound start before. @param {() => void} run */
export function whenTouched(run) {
  if (context) run();
  else for (const kind of ["pointerdown", "keydown"]) addEventListener(kind, run, { once: true });
}

/** Render pitches ahead of need, one a task, so that a click sounds at once. @param {number[]} midi */
export function prepare(midi) {
  const audio = clock();
  const [first, ...rest] = midi.filter((pitch) => !bank.has(pitch));
  if (first === undefined) return;
  pluck(first, audio);
  setTimeout(() => prepare(rest), 0);
}
