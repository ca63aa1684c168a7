// Small facts about grips and pitches. Rules of music live in the library and its table.

const STEPS = { C: 0, D: 2, E: 4, F: 5, G: 7, A: 9, B: 11 };
export const STANDARD = "E2 A2 D3 G3 B3 E4";

/** MIDI number of a pitch name such as `Bb3`, NaN if it is none. @param {string} name */
export function midiOf(name) {
  const match = /^([A-Ga-g])(##|bb|#|b|♯|♭)?(-?\d)$/.exec(name.trim());
  if (!match) return NaN;
  const sign = (match[2] ?? "").replace(/♯/g, "#").replace(/♭/g, "b");
  const alter = (sign.match(/#/g) ?? []).length - (sign.match(/b/g) ?? []).length;
  const letter = /** @type {keyof typeof STEPS} */ (match[1].toUpperCase());
  return 12 * (Number(match[3]) + 1) + STEPS[letter] + alter;
}

/** Open strings as MIDI, bass side first; null if the text is no tuning. @param {string} text @returns {number[] | null} */
export function tuningMidi(text) {
  const midi = text.trim().split(/[\s,]+/).map(midiOf);
  return midi.length >= 4 && midi.length <= 8 && midi.every(Number.isFinite) ? midi : null;
}

/** @param {(number | null)[]} frets */
export function gripText(frets) {
  const signs = frets.map((fret) => (fret === null ? "x" : String(fret)));
  return signs.join(signs.some((sign) => sign.length > 1) ? "-" : "");
}

/** Frets of a typed grip, or what is wrong with it. @param {string} text @param {number} strings @returns {{frets?: (number | null)[], problem?: string}} */
export function readGrip(text, strings) {
  const clean = text.trim().toLowerCase();
  const dashed = /^(x|\d{1,2})(-(x|\d{1,2}))+$/.test(clean);
  if (!dashed && !/^[x0-9]+$/.test(clean)) return { problem: "Write one fret a string, bass side first: x35453" };
  const signs = dashed ? clean.split("-") : [...clean];
  if (signs.length !== strings) {
    const full = [...Array(Math.max(0, strings - signs.length)).fill("x"), ...signs].join(dashed ? "-" : "");
    const remedy = signs.length < strings ? ` Perhaps ${full}` : "";
    return { problem: `${signs.length} places, this tuning has ${strings} strings.${remedy}` };
  }
  const frets = signs.map((sign) => (sign === "x" ? null : Number(sign)));
  const off = frets.find((fret) => fret !== null && fret > 24);
  return off === undefined ? { frets } : { problem: `Fret ${off} is off the neck, which ends at 24` };
}

/** @param {string} text */
export const pretty = (text) => text.replace(/([A-G])b/g, "$1♭").replace(/([A-G])#/g, "$1♯").replace(/b(?=[\dIViv])/g, "♭").replace(/#(?=[\dIViv])/g, "♯");

/** The family of a degree in the interval code. @param {string} degree @returns {"root" | "third" | "fifth" | "seventh" | "tension"} */
export function family(degree) {
  const number = Number(degree.replace(/[^\d]/g, ""));
  if (number === 1) return "root";
  if (number >= 2 && number <= 4) return "third";
  if (number === 5) return "fifth";
  return number === 6 || number === 7 ? "seventh" : "tension";
}

/** Whether a degree carries the double outline: an altered fifth or tension. @param {string} degree */
export const altered = (degree) => /[b#]/.test(degree) && ["fifth", "tension"].includes(family(degree));
