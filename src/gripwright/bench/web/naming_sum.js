// What a way to hear notes costs: the forms of the naming table and the same sums as the library
// (docs/naming.md).

/** @typedef {{halving: number, faint: number, most: number, cluster: number[], terms: Record<string, number>, forms: string[], sets: number[][]}} Table */
/** @typedef {{string: number, fret: number, midi: number}} Sound */
/** @typedef {{root: number, form: ReturnType<typeof form>, cost: number}} Way */

export const STEPS = [0, 2, 4, 5, 7, 9, 11];
const FIFTHS = ["5", "b5", "#5"];

/** @param {number} n */
export const mod12 = (n) => ((n % 12) + 12) % 12;

/** @param {string} text @returns {{number: number, alter: number, size: number}} */
export function degree(text) {
  const sign = /^[b#]*/.exec(text)?.[0] ?? "";
  const number = Number(text.slice(sign.length));
  const alter = sign.startsWith("#") ? sign.length : -sign.length;
  return { number, alter, size: STEPS[(number - 1) % 7] + 12 * Math.floor((number - 1) / 7) + alter };
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
 * @param {Table["terms"]} terms @param {Way} way @param {Sound[]} sounds @param {number[]} above @param {Sound} bass
 */
function anotherBass(terms, way, sounds, above, bass) {
  const { content, degrees, quality } = way.form;
  const has = (/** @type {string[]} */ names) => names.some((text) => content.includes(text));
  const whole = content.includes("1") && has(["3", "b3"]) && has(FIFTHS);
  const low = mod12(-way.root);
  const text = degrees.get(low);
  let cost = whole ? 0 : againstFifth(terms, content, sounds, bass);
  const doubled = above.filter((pc) => pc === low).length > 1;
  if (text && doubled && !whole) cost += terms["bass doubled under a chord that is not whole"];
  if (bass !== sounds[0]) {
    cost += terms["root above the bass, bass on an inner string"];
    if (text && degree(text).number > 7) cost += terms["tension as the bass, on an inner string"];
  }
  if (text) return cost;
  if (doubled) return cost + terms["slash bass doubled"];
  const passing = way.root === 2 && ["", "m"].includes(quality) && above.length > 4;
  return cost + (passing ? terms["triad doubled over its flat seventh"] : 0);
}

/** @param {Table} table @param {Way} way @param {Sound[]} sounds @param {Sound} bass */
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

/**
 * The ways to hear what sounds over its bass, best first, none if they are a cluster.
 * @param {Table} table @param {Sound[]} sounds @param {Sound} bass @returns {Way[]}
 */
export function ranked(table, sounds, bass) {
  const mask = sounds.reduce((bits, sound) => bits | (1 << mod12(sound.midi - bass.midi)), 0);
  const row = table.sets[mask >> 1];
  const different = new Set(sounds.map((sound) => sound.midi % 12)).size;
  if (!row.length || row[2] > table.cluster[different]) return [];
  /** @type {Way[]} */
  const ways = [];
  for (let i = 0; i < row.length; i += 3) {
    const way = { root: row[i], form: form(table, row[i + 1]), cost: row[i + 2] };
    ways.push({ ...way, cost: way.cost + voicingCost(table, way, sounds, bass) });
  }
  ways.sort((a, b) => a.cost - b.cost);
  /** @type {Set<number>} */
  const roots = new Set();
  for (const way of ways) {
    const again = roots.has(way.root) && !way.form.degrees.has(mod12(-way.root));
    if (again) way.cost += table.terms["foreign bass under a root that is given"];
    roots.add(way.root);
  }
  return ways.sort((a, b) => a.cost - b.cost);
}
