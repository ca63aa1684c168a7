// Patches of a text: what was changed, and where it goes after somebody else's change.

/** A span and its new text; places count code points, as the server does. @typedef {{start: number, end: number, text: string}} Patch */

const PAIRS = /[\ud800-\udbff][\udc00-\udfff]/;

/** How many code points a text has. @param {string} text */
const size = (text) => (PAIRS.test(text) ? [...text].length : text.length);

/** Code points to UTF-16 units. @param {string} text @param {number} count */
export const units = (text, count) => (PAIRS.test(text) ? [...text].slice(0, count).join("").length : count);

/** The smallest patch between two texts, null if they are the same. @param {string} before @param {string} after @returns {Patch | null} */
export function difference(before, after) {
  if (before === after) return null;
  const [a, b] = PAIRS.test(before + after) ? [[...before], [...after]] : [before, after];
  const least = Math.min(a.length, b.length);
  let start = 0;
  while (start < least && a[start] === b[start]) start += 1;
  let tail = 0;
  while (tail < least - start && a[a.length - 1 - tail] === b[b.length - 1 - tail]) tail += 1;
  const put = b.slice(start, b.length - tail);
  return { start, end: a.length - tail, text: typeof put === "string" ? put : put.join("") };
}

const MOST_PAIRS = 1_000_000;

/** Which lines two texts share, as pairs of line numbers in order. @param {string[]} a @param {string[]} b @returns {[number, number][]} */
function shared(a, b) {
  if (a.length * b.length > MOST_PAIRS) return [];
  const wide = b.length + 1;
  const best = new Uint32Array((a.length + 1) * wide);
  for (let i = a.length - 1; i >= 0; i -= 1) {
    for (let j = b.length - 1; j >= 0; j -= 1) {
      best[i * wide + j] = a[i] === b[j] ? best[(i + 1) * wide + j + 1] + 1 : Math.max(best[(i + 1) * wide + j], best[i * wide + j + 1]);
    }
  }
  /** @type {[number, number][]} */
  const pairs = [];
  for (let i = 0, j = 0; i < a.length && j < b.length;) {
    if (a[i] === b[j]) pairs.push([i++, j++]);
    else if (best[(i + 1) * wide + j] >= best[i * wide + j + 1]) i += 1;
    else j += 1;
  }
  return pairs;
}

/** All patches between two texts, in order, each as small as it can be, places in the first text. @param {string} before @param {string} after @returns {Patch[]} */
export function differences(before, after) {
  const whole = difference(before, after);
  if (!whole) return [];
  const lines = (/** @type {string} */ text) => text.match(/[^\n]*\n|[^\n]+$/g) ?? [];
  const [a, b] = [lines(before), lines(after)];
  const pairs = shared(a, b);
  if (!pairs.length) return [whole];
  /** @type {Patch[]} */
  const found = [];
  let [i, j, at] = [0, 0, 0];
  for (const [nextI, nextJ] of [...pairs, /** @type {[number, number]} */ ([a.length, b.length])]) {
    const old = a.slice(i, nextI).join("");
    const patch = difference(old, b.slice(j, nextJ).join(""));
    if (patch) found.push({ ...patch, start: at + patch.start, end: at + patch.end });
    at += size(old) + size(a[nextI] ?? "");
    [i, j] = [nextI + 1, nextJ + 1];
  }
  return found;
}

/** @param {string} text @param {Patch} patch */
export function applied(text, { start, end, text: put }) {
  return text.slice(0, units(text, start)) + put + text.slice(units(text, end));
}

/** How much longer a patch makes its text. @param {Patch} patch */
const growth = ({ start, end, text }) => size(text) - (end - start);

/** A place of the text after patches were made in it. @param {number} place @param {Patch[]} over */
export function carriedOver(place, over) {
  const inside = over.find((one) => one.start < place && place < one.end);
  const shift = over.filter((one) => one.end <= place && one.start < place).reduce((sum, one) => sum + growth(one), 0);
  return inside ? inside.start + shift + size(inside.text) : place + shift;
}

/** A patch after others on the same text were made first; null where they touch the same place. Of two that only put something in at one place it goes first, or with `last` last. @param {Patch} patch @param {Patch[]} over @param {boolean} [last] @returns {Patch | null} */
export function rebased(patch, over, last = false) {
  if (over.some((one) => patch.end > one.start && patch.start < one.end)) return null;
  const shift = over.filter((one) => patch.end > one.start || (last && patch.start >= one.end)).reduce((sum, one) => sum + growth(one), 0);
  return { ...patch, start: patch.start + shift, end: patch.end + shift };
}

/** Patches of a history, the last made last, after a change from outside; those that it touches go, with all before them. @param {Patch[]} history @param {Patch[]} changes @returns {Patch[]} */
export function rebasedHistory(history, changes) {
  return changes.reduceRight((/** @type {Patch[]} */ left, change) => {
    /** @type {Patch[]} */
    const kept = [];
    /** @type {Patch | null} */
    let over = change;
    for (const patch of [...left].reverse()) {
      const moved = over && rebased(patch, [over]);
      over = over && rebased(over, [patch], true);
      if (!moved || !over) break;
      kept.unshift(moved);
    }
    return kept;
  }, history);
}

/** Both sides of a quarrel over one place: my words and the file's, and the patch that puts mine in. @param {string} base @param {string} now @param {Patch} mine */
export function quarrel(base, now, mine) {
  const theirs = differences(base, now);
  const cut = (/** @type {string} */ text, /** @type {number} */ from, /** @type {number} */ to) => text.slice(units(text, from), units(text, to));
  let { start, end } = mine;
  const touched = theirs.filter((one) => mine.end > one.start && mine.start < one.end);
  for (const one of touched) [start, end] = [Math.min(start, one.start), Math.max(end, one.end)];
  const words = cut(base, start, mine.start) + mine.text + cut(base, mine.end, end);
  const shift = theirs.filter((one) => one.end <= start && one.start < end).reduce((sum, one) => sum + growth(one), 0);
  const grown = touched.reduce((sum, one) => sum + growth(one), 0);
  const patch = { start: start + shift, end: end + shift + grown, text: words };
  return { words, file: cut(now, patch.start, patch.end), patch, clean: !touched.length };
}
