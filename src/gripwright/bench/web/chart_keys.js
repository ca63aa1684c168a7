// The chart by keys: go, write, insert, stretch, pass a neighbour, carry over the barline, copy.
import { signal } from "./vendor/signals.js";
import { said } from "./carry.js";
import { intend } from "./edits.js";
import { pretty } from "./music.js";
import { barAt, eventAt, land, onBeat, places, placeWords, same, select, startsOf, stayAt } from "./places.js";
import { play, playing, stopPlaying } from "./player.js";
import { lesson, selected } from "./state.js";

/** @typedef {import("./places.js").At} At */

/** What is being written into the selected chord, null while nothing is. */
export const writing = signal(/** @type {string | null} */ (null));
let taken = "";

export function togglePlaying() {
  if (playing.value) stopPlaying();
  else void play(selected.value);
}

/** @param {number} by */
function step(by) {
  const all = places();
  const here = selected.value ? all.findIndex((at) => same(selected.value, at)) : -1;
  const next = all[Math.min(all.length - 1, Math.max(0, here + by))];
  if (next) select(next);
}

/** What to write to have a chord again. @param {any} event */
const wording = (event) => (event.writing === "/" || event.writing === "" ? [event.grip, event.symbol].filter(Boolean).join("=") || "rest" : event.writing.replace(/@[^@]*$/, ""));

/** Carry a chord to a beat and stay with it. @param {At} at @param {{part: number, bar: number}} to @param {number} beat */
async function carryTo(at, to, beat) {
  const name = pretty(eventAt(at)?.symbol ?? "");
  if (!(await intend("carry_chord", { ...at, to_part: to.part, to_bar: to.bar, to_beat: beat }))) return;
  land(onBeat(to, beat));
  said.value = `${name}: ${placeWords(to, beat)}`;
}

/** The bar beside one, over the edge of its part too. @param {At} at @param {number} by @returns {{part: number, bar: number} | null} */
function beside(at, by) {
  const parts = lesson.peek().parts;
  if (parts[at.part].bars[at.bar + by]) return { part: at.part, bar: at.bar + by };
  const other = parts[at.part + by];
  return other ? { part: at.part + by, bar: by > 0 ? 0 : other.bars.length - 1 } : null;
}

/** Let the chord change places with its neighbour, or cross the barline. @param {At} at @param {1 | -1} by */
async function pass(at, by) {
  const { first, last } = stayAt(at);
  const neighbour = by > 0 ? last + 1 : first - 1;
  if (!barAt(at).events[neighbour]) {
    const to = beside(at, by);
    if (to) await carryTo({ ...at, event: first }, to, by > 0 ? 0 : barAt(to).grid.length - 1);
    return;
  }
  const other = stayAt({ ...at, event: neighbour });
  if (!(await intend("move_chord", { ...at, by }))) return;
  land({ ...at, event: by > 0 ? first + other.last - other.first + 1 : other.first });
}

/** Let the chord start a beat earlier or later. @param {At} at @param {1 | -1} by */
async function nudge(at, by) {
  const { first } = stayAt(at);
  const [bar, start] = [barAt(at), startsOf(barAt(at))[first]];
  const near = by > 0 ? bar.grid.findIndex((/** @type {number} */ beat) => beat > start + 1e-6) : bar.grid.findLastIndex((/** @type {number} */ beat) => beat < start - 1e-6);
  if (near >= 0) return carryTo({ ...at, event: first }, at, near);
  return pass(at, by);
}

/** Put a chord in the middle of this one, and write it. @param {At} at */
async function insert(at) {
  const { first, last } = stayAt(at);
  if (!(await intend("insert_chord", { ...at, event: first, writing: wording(eventAt(at)) }))) return;
  selected.value = { ...at, event: first + Math.max(1, Math.floor((last - first + 1) / 2)) };
  writing.value = "";
}

const PLAIN = /** @type {Record<string, (at: At) => unknown>} */ ({
  " ": togglePlaying,
  ArrowRight: () => step(1),
  ArrowLeft: () => step(-1),
  Enter: (at) => { writing.value = eventAt(at)?.writing ?? ""; },
  F2: (at) => { writing.value = eventAt(at)?.writing ?? ""; },
  Delete: (at) => intend("delete_chord", at),
  Backspace: (at) => intend("delete_chord", at),
  "+": (at) => intend("stretch_chord", { ...at, beats: 1 }),
  "-": (at) => intend("stretch_chord", { ...at, beats: -1 }),
  i: insert,
  b: (at) => intend("insert_bar", { part: at.part, bar: at.bar + 1 }),
  c: (at) => intend("copy_bar", { part: at.part, bar: at.bar }),
});

/** @param {KeyboardEvent} event @param {At} at */
function onCommand(event, at) {
  if (event.key === "c") taken = wording(eventAt(at));
  else if (event.key === "v" && taken) void intend("set_chord", { ...at, writing: taken });
  else return false;
  return true;
}

/** @param {KeyboardEvent} event */
export function onKey(event) {
  const at = selected.value;
  const command = event.ctrlKey || event.metaKey;
  const target = /** @type {HTMLElement} */ (event.target);
  if (!at || !eventAt(at) || target.tagName === "INPUT") return;
  const over = event.key === "ArrowRight" ? 1 : event.key === "ArrowLeft" ? -1 : 0;
  if (command) {
    if (!onCommand(event, at)) return;
  } else if (event.altKey) {
    if (!over) return;
    void (event.shiftKey ? nudge(at, over) : pass(at, over));
  } else if (PLAIN[event.key]) PLAIN[event.key](at);
  else if (/^[A-Gx]$/.test(event.key)) writing.value = event.key;
  else return;
  event.preventDefault();
}
