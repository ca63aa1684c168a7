// The song as the page knows it, and where things are in it. Places are performed quarters,
// repeats unrolled; seconds appear only in player.js.

/**
 * @typedef {{start: number, length: number, part: string, visit: number, number: number,
 *   bars: number, beats: number[], counts: number[], ahead: number,
 *   counted: number}} Bar
 *   `counts` are the clicks of a count-in to this bar, `ahead` its length, in quarters; `counted`
 *   is how many clicks a full bar has.
 * @typedef {{start: number, end: number, bar: number, chord: number | null}} Event
 * @typedef {{start: number, length: number, late: number, bar: number, midi: number,
 *   loud: number, rise: number, from: number, soft: boolean}} Note
 *   `late` is in seconds, `rise` in semitones; `from` is the pitch that it slides from.
 * @typedef {{name: string, grip: number | null, words: string}} Chord
 *   `grip` is the number of its drawing in the page.
 * @typedef {{title: string, bpm: number, quarter: number, bars: Bar[], events: Event[],
 *   notes: Note[], chords: Chord[], bank: Record<string, [number, number]>,
 *   take: Played[] | null}} Score
 *   `quarter` is how long a quarter is at full tempo, in seconds; `bank` says where in the
 *   sound each pitch starts and how long it lasts, in seconds.
 *   `take` is what of it the take of the page holds, in order, null where it carries none.
 * @typedef {{event: number, start: number, end: number}} Played  seconds of the take
 * @typedef {{first: number, last: number}} Span  bars, both included
 */

/** Read the song out of the page. @returns {Score} */
export function readScore() {
  return JSON.parse(/** @type {HTMLElement} */ (document.getElementById("score")).textContent || "");
}

/** The last item that starts at or before a place, by halving. @param {{start: number}[]} items
 * @param {number} at */
export function indexAt(items, at) {
  let low = 0;
  let high = items.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (items[middle].start <= at + 1e-6) low = middle + 1;
    else high = middle;
  }
  return low - 1;
}

/** The event that is heard at a place, or -1. @param {Score} score @param {number} at */
export function eventAt(score, at) {
  const index = indexAt(score.events, at);
  return index >= 0 && at < score.events[index].end - 1e-6 ? index : -1;
}

/** The bars of the part that a bar belongs to, this time round. @param {Score} score
 * @param {number} bar @returns {Span} */
export function partSpan(score, bar) {
  const same = (/** @type {Bar} */ other) =>
    other.part === score.bars[bar].part && other.visit === score.bars[bar].visit;
  let first = bar;
  let last = bar;
  while (first > 0 && same(score.bars[first - 1])) first -= 1;
  while (last + 1 < score.bars.length && same(score.bars[last + 1])) last += 1;
  return { first, last };
}

/** All bars. @param {Score} score @returns {Span} */
export function wholeSpan(score) {
  return { first: 0, last: score.bars.length - 1 };
}

/** Where a span starts and ends, in quarters. @param {Score} score @param {Span} span */
export function limits(score, span) {
  const last = score.bars[span.last];
  return { start: score.bars[span.first].start, end: last.start + last.length };
}
