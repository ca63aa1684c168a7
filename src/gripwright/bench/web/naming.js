// Naming in the page: the same table and the same sums as the library (docs/naming.md), so that
// a click is named within a frame. Reasons and neighbours stay with the library.

import { degree, mod12, ranked, STEPS } from "./naming_sum.js";

/** @typedef {import("./naming_sum.js").Table} Table */
/** @typedef {import("./naming_sum.js").Sound} Sound */
/** @typedef {import("./naming_sum.js").Way} Way */
/** @typedef {{step: number, alter: number}} Note */

const PLAIN = ["1", "b9", "9", "b3", "3", "11", "#11", "5", "b13", "13", "b7", "7"];
/** @type {Record<string, string>} */
const USUAL = {
  other: "C Db D Eb E F F# G Ab A Bb B",
  minor: "C C# D Eb E F F# G G# A Bb B",
  diminished: "C C# D Eb E F F# G G# A Bb B",
};

/** @param {Note} note */
const pitchClass = (note) => mod12(STEPS[note.step] + note.alter);
/** @param {Note} note */
export const noteName = (note) => "CDEFGAB"[note.step] + (note.alter > 0 ? "#" : "b").repeat(Math.abs(note.alter));

/** The spelled note a degree above a root. @param {Note} root @param {string} text @returns {Note} */
function noteAt(root, text) {
  const { number, size } = degree(text);
  const step = (root.step + number - 1) % 7;
  return { step, alter: mod12(pitchClass(root) + size - STEPS[step] + 6) - 6 };
}

/** The same without double accidentals. @param {Note} root @param {string} text @returns {Note} */
function readable(root, text) {
  const note = noteAt(root, text);
  if (Math.abs(note.alter) < 2) return note;
  const flats = [[0, 0], [1, -1], [1, 0], [2, -1], [2, 0], [3, 0], [4, -1], [4, 0], [5, -1], [5, 0], [6, -1], [6, 0]];
  const sharps = [[0, 0], [0, 1], [1, 0], [1, 1], [2, 0], [3, 0], [3, 1], [4, 0], [4, 1], [5, 0], [5, 1], [6, 0]];
  const [step, alter] = (note.alter < 0 ? flats : sharps)[pitchClass(note)];
  return { step, alter };
}

/** Whether a note is an altered name of a white key. @param {Note} note */
const odd = (note) => note.alter !== 0 && STEPS.includes(pitchClass(note));

/** The usual root of a chord over a bass, without a key. @param {number} pc @param {string[]} content @param {string} low @returns {Note} */
function rootNote(pc, content, low) {
  const family = !content.includes("b3") ? "other" : content.includes("b5") ? "diminished" : "minor";
  const name = USUAL[family].split(" ")[mod12(pc)];
  const alter = name.endsWith("#") ? 1 : name.endsWith("b") ? -1 : 0;
  const usual = { step: "CDEFGAB".indexOf(name[0]), alter };
  if (![1, 6, 8].includes(mod12(pc)) || !odd(noteAt(usual, low))) return usual;
  const other = { step: (usual.step + alter + 7) % 7, alter: -alter };
  return odd(noteAt(other, low)) ? usual : other;
}

/** @param {string} quality */
function runs(quality) {
  const low = quality.startsWith("m") && !quality.startsWith("maj") ? "m" : "";
  return { low, high: quality.slice(low.length).replace(/b(?=\d)/g, "♭").replace(/#/g, "♯") };
}

/** @param {string} name */
const printed = (name) => name.replace(/b/g, "♭").replace(/#/g, "♯");

/**
 * The readings of what sounds, best first; strings from the bass side. On a re-entrant neck a
 * note of the chord in the bass is not written.
 * @param {Table} table @param {Sound[]} sounds @param {boolean} [reEntrant]
 * @returns {import("./state.js").Reading[]}
 */
export function readings(table, sounds, reEntrant = false) {
  const bass = sounds.reduce((low, sound) => (sound.midi < low.midi ? sound : low));
  const ways = ranked(table, sounds, bass);
  if (!ways.length) return [cluster(sounds, bass)];
  const kept = ways.filter((way) => way.cost - ways[0].cost <= table.faint).slice(0, table.most);
  const shares = kept.map((way) => 2 ** (-(way.cost - ways[0].cost) / table.halving));
  const total = shares.reduce((a, b) => a + b, 0);
  return kept.map((way, index) => reading(way, sounds, bass, shares[index] / total, reEntrant));
}

/** @param {Way} way @param {Sound[]} sounds @param {Sound} bass @param {number} weight @param {boolean} reEntrant */
function reading(way, sounds, bass, weight, reEntrant) {
  const tone = way.form.degrees.get(mod12(-way.root));
  const below = tone ?? PLAIN[mod12(-way.root)];
  const root = rootNote(bass.midi + way.root, way.form.content, tone ?? "1");
  const eased = odd(noteAt(root, below));
  const tones = sounds.map((sound) => {
    const above = mod12(sound.midi - pitchClass(root));
    const text = way.form.degrees.get(above) ?? PLAIN[above];
    const note = eased && text === below ? { step: STEPS.indexOf(mod12(sound.midi)), alter: 0 } : readable(root, text);
    return { ...sound, note: noteName(note), degree: text };
  });
  const low = /** @type {{note: string}} */ (tones.find((tone) => tone.midi === bass.midi)).note;
  const rootName = noteName(root);
  const { low: small, high } = runs(way.form.quality);
  const unsaid = low === rootName || !way.form.degrees.has(0) || (reEntrant && tone !== undefined);
  const slash = unsaid ? "" : `/${low}`;
  const set = [{ text: printed(rootName) + small, raised: false }, { text: high, raised: true }, { text: printed(slash), raised: false }];
  return { symbol: rootName + way.form.quality + slash, harte: "", quality: way.form.quality, root: rootName, bass: low, tones, omits: way.form.omits, why: [], weight, runs: set.filter((run) => run.text) };
}

/** @param {Sound[]} sounds @param {Sound} bass */
function cluster(sounds, bass) {
  const above = (/** @type {Sound} */ sound) => PLAIN[mod12(sound.midi - bass.midi)];
  const content = [...new Set(sounds.map((sound) => mod12(sound.midi - bass.midi)))].sort((a, b) => a - b).map((pc) => PLAIN[pc]);
  const root = rootNote(bass.midi, content, "1");
  const tones = sounds.map((sound) => ({ ...sound, note: noteName(readable(root, above(sound))), degree: above(sound) }));
  return { symbol: "", harte: "X", quality: "cluster", root: noteName(root), bass: noteName(root), tones, omits: [], why: [], weight: 1, runs: [] };
}
