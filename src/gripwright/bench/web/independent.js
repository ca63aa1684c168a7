// Which changes of a chart can wait together: none may move what a later one points at. A place is
// a part, bar and event as the chart was drawn when the change was meant.

/** @typedef {{intent: string, args: any}} Meant */

/** What touches no chord of the chart. */
const BESIDE = ["set_front", "add_part"];
/** What may be said of chords without moving any other. */
const STEADY = ["set_chord", "append_chord"];
/** What moves chords of its own bar, and of bars that repeat it. */
const WITHIN = ["stretch_chord", "insert_chord", "delete_chord", "push_chord"];
/** What is written where a bar has no word of its own, or goes on with the chord before. */
const LEANING = ["", "/", "_"];

/** @param {any} bar */
const seen = (bar) => JSON.stringify(bar.events.map((/** @type {any} */ { beats, symbol, grip, rest, struck }) => [beats, symbol, grip, rest, struck]));

/** @param {Meant} change @returns {number[]} */
const partsOf = ({ args }) => [args.part, args.to_part].filter((part) => part !== undefined);

/** Whether a bar is another one, and may not be a repeat of it or go on with what it ends on. @param {any} bar @param {any} other */
const isApart = (bar, other) => Boolean(bar && other) && bar !== other && !LEANING.includes(bar.events[0]?.writing ?? "") && seen(bar) !== seen(other);

/**
 * Whether a change that waits may move what the next one points at.
 * @param {Meant} old @param {Meant} next @param {any[]} parts of the chart that both were meant on
 */
export function reaches(old, next, parts) {
  if (BESIDE.includes(old.intent) || BESIDE.includes(next.intent)) return false;
  const [mine, its] = [partsOf(old), partsOf(next)];
  if (mine.length && its.length && !its.some((part) => mine.includes(part))) return false;
  if (STEADY.includes(old.intent) && STEADY.includes(next.intent)) return false;
  if (old.intent === "set_chord" && WITHIN.includes(next.intent)) return false;
  if (!WITHIN.includes(old.intent) || ![...WITHIN, "set_chord"].includes(next.intent)) return true;
  const bars = parts[old.args.part]?.bars ?? [];
  return !isApart(bars[next.args.bar], bars[old.args.bar]);
}
