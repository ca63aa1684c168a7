// Naming in the page: the same table and the same sums as the library (docs/naming.md), so that
// a click is named within a frame. Reasons and neighbours stay with the library.

/** @typedef {{halving: number, faint: number, most: number, cluster: number[], terms: Record<string, number>, forms: string[], sets: number[][]}} Table */
/** @typedef {{string: number, fret: number, midi: number}} Sound */
/** @typedef {{step: number, alter: number}} Note */

const STEPS = [0, 2, 4, 5, 7, 9, 11];
const PLAIN = ["1", "b9", "9", "b3", "3", "11", "#11", "5", "b13", "13", "b7", "7"];
const FIFTHS = ["5", "b5", "#5"];
/** @type {Record<string, string>} */
const USUAL = {
  other: "C Db D Eb E F F# G Ab A Bb B",
  minor: "C C# D Eb E F F# G G# A Bb B",
  diminished: "C C# D Eb E F F# G G# A Bb B",
};

/** @param {number} n */
const mod12 = (n) => ((n % 12) + 12) % 12;
/** @param {Note} note */
const pitchClass = (note) => mod12(STEPS[note.step] + note.alter);
/** @param {Note} note */
export const noteName = (note) => "CDEFGAB"[note.step] + (note.alter > 0 ? "#" : "b").repeat(Math.abs(note.alter));

/** @param {string} text @returns {{number: number, alter: number, size: number}} */
function degree(text) {
  const sign = /^[b#]*/.exec(text)?.[0] ?? "";
  const number = Number(text.slice(sign.length));
  const alter = sign.startsWith("#") ? sign.length : -sign.length;
  return { number, alter, size: STEPS[(number - 1) % 7] + 12 * Math.floor((number - 1) / 7) + alter };
}

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

/** @param {Table} table @param {number} index */
function form(table, index) {
  const [quality, heard, gone] = table.forms[index].split("|");
  const degrees = new Map(heard.split(" ").map((text) => [mod12(degree(text).size), text]));
  return { quality, degrees, content: heard.split(" "), omits: gone ? gone.split(" ") : [] };
}

/**
 * What a sharp eleven or flat thirteen costs that a missing fifth might make an altered fifth.
 * @param {Table["terms"]} terms @param {string[]} content @param {(...pcs: number[]) => number} lowest @param {Sound} bass
 */
function doubtfulCost(terms, content, lowest, bass) {
  const tension = content.find((text) => text === "#11" || text === "b13");
  if (!tension || content.some((text) => FIFTHS.includes(text))) return 0;
  const high = lowest(mod12(degree(tension).size)) - bass.midi > 12;
  return terms[`tension for a fifth, ${high ? "high" : "low"}`];
}

/**
 * What a fifth right above the bass says against another root.
 * @param {Table["terms"]} terms @param {string[]} content @param {Sound[]} sounds @param {Sound} bass
 */
function againstFifth(terms, content, sounds, bass) {
  if (sounds.length < 4) return 0;
  const all = new Set(sounds.map((sound) => sound.midi - bass.midi));
  const above = [...all].sort((a, b) => a - b).slice(1, 3);
  if (above[0] !== 7 && !(above[0] === 12 && above[1] === 19)) return 0;
  const last = above[above.length - 1];
  const octave = last === 12 || last === 19 ? terms["octave on top of that fifth"] : 0;
  const without = content.some((text) => FIFTHS.includes(text)) ? 0 : terms["no fifth against that fifth"];
  return terms["fifth right above a bass that is not the root"] + octave + without;
}

/**
 * What the voicing says of a root that is not the bass.
 * @param {Table["terms"]} terms @param {{root: number, form: ReturnType<typeof form>}} way @param {Sound[]} sounds @param {number[]} above @param {Sound} bass
 */
function anotherBass(terms, way, sounds, above, bass) {
  const { content, degrees, quality } = way.form;
  const has = (/** @type {string[]} */ names) => names.some((text) => content.includes(text));
  const whole = content.includes("1") && has(["3", "b3"]) && has(FIFTHS);
  const low = mod12(-way.root);
  const text = degrees.get(low);
  let cost = whole ? 0 : againstFifth(terms, content, sounds, bass);
  if (bass !== sounds[0]) {
    cost += terms["root above the bass, bass on an inner string"];
    if (text && degree(text).number > 7) cost += terms["tension as the bass, on an inner string"];
  }
  if (text) return cost;
  if (above.filter((pc) => pc === low).length > 1) return cost + terms["slash bass doubled"];
  const passing = way.root === 2 && ["", "m"].includes(quality) && above.length > 4;
  return cost + (passing ? terms["triad doubled over its flat seventh"] : 0);
}

/** @param {Table} table @param {{root: number, form: ReturnType<typeof form>}} way @param {Sound[]} sounds @param {Sound} bass */
function voicingCost({ terms }, way, sounds, bass) {
  const { content } = way.form;
  const above = sounds.map((sound) => mod12(sound.midi - bass.midi - way.root));
  const lowest = (/** @type {number[]} */ ...pcs) => Math.min(...sounds.filter((_, index) => pcs.includes(above[index])).map((sound) => sound.midi));
  const roots = above.filter((pc) => pc === 0).length;
  let cost = terms["root doubled"] * Math.min(2, Math.max(0, roots - 1));
  const bare = ["b7", "7"].some((text) => content.includes(text)) && content.includes("13") && !FIFTHS.some((text) => content.includes(text));
  if (way.root) cost += anotherBass(terms, way, sounds, above, bass);
  else if (bare && lowest(9) < lowest(10, 11)) cost += terms["thirteenth under its seventh"];
  return cost + doubtfulCost(terms, content, lowest, bass);
}

/** @param {string} quality */
function runs(quality) {
  const low = quality.startsWith("m") && !quality.startsWith("maj") ? "m" : "";
  return { low, high: quality.slice(low.length).replace(/b(?=\d)/g, "♭").replace(/#/g, "♯") };
}

/** @param {string} name */
const printed = (name) => name.replace(/b/g, "♭").replace(/#/g, "♯");

/**
 * The readings of what sounds, best first; strings from the bass side.
 * @param {Table} table @param {Sound[]} sounds
 * @returns {import("./state.js").Reading[]}
 */
export function readings(table, sounds) {
  const bass = sounds.reduce((low, sound) => (sound.midi < low.midi ? sound : low));
  const mask = sounds.reduce((bits, sound) => bits | (1 << mod12(sound.midi - bass.midi)), 0);
  const row = table.sets[mask >> 1];
  /** @type {{root: number, form: ReturnType<typeof form>, cost: number}[]} */
  const ways = [];
  for (let i = 0; i < row.length; i += 3) {
    const way = { root: row[i], form: form(table, row[i + 1]), cost: 0 };
    way.cost = row[i + 2] + voicingCost(table, way, sounds, bass);
    ways.push(way);
  }
  const different = new Set(sounds.map((sound) => sound.midi % 12)).size;
  if (!row.length || row[2] > table.cluster[different]) return [cluster(sounds, bass)];
  ways.sort((a, b) => a.cost - b.cost);
  /** @type {Set<number>} */
  const roots = new Set();
  for (const way of ways) {
    const again = roots.has(way.root) && !way.form.degrees.has(mod12(-way.root));
    if (again) way.cost += table.terms["foreign bass under a root that is given"];
    roots.add(way.root);
  }
  ways.sort((a, b) => a.cost - b.cost);
  const kept = ways.filter((way) => way.cost - ways[0].cost <= table.faint).slice(0, table.most);
  const shares = kept.map((way) => 2 ** (-(way.cost - ways[0].cost) / table.halving));
  const total = shares.reduce((a, b) => a + b, 0);
  return kept.map((way, index) => reading(way, sounds, bass, shares[index] / total));
}

/** @param {{root: number, form: ReturnType<typeof form>}} way @param {Sound[]} sounds @param {Sound} bass @param {number} weight */
function reading(way, sounds, bass, weight) {
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
  const slash = low === rootName || !way.form.degrees.has(0) ? "" : `/${low}`;
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
