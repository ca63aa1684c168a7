// Places of the chart: part, bar and event from 0, as the server counts them.
import { lesson, selected, setFrets, showGrip, sounding } from "./state.js";
import { strum } from "./sound.js";

/** @typedef {{part: number, bar: number, event: number}} At */

/** @param {At | null} a @param {At} b */
export const same = (a, b) => a !== null && a.part === b.part && a.bar === b.bar && a.event === b.event;

/** @param {{part: number, bar: number}} at */
export const barAt = (at) => lesson.peek()?.parts[at.part]?.bars[at.bar];

/** @param {At} at */
export const eventAt = (at) => barAt(at)?.events[at.event];

/** @param {At} at */
export const nodeAt = (at) => document.getElementById(`chord-${at.part}-${at.bar}-${at.event}`);

/** All chords in the order of writing. @returns {At[]} */
export function places() {
  return (lesson.peek()?.parts ?? []).flatMap((/** @type {any} */ part, /** @type {number} */ p) =>
    part.bars.flatMap((/** @type {any} */ bar, /** @type {number} */ b) =>
      bar.events.map((/** @type {any} */ _, /** @type {number} */ e) => ({ part: p, bar: b, event: e }))));
}

/** Where each event of a bar starts, in its beats, the end of the bar last. @param {any} bar @returns {number[]} */
export const startsOf = (bar) => bar.events.reduce((/** @type {number[]} */ starts, /** @type {any} */ event) => [...starts, (starts.at(-1) ?? 0) + event.beats], [0]);

/** The first and the last event of the chord that holds a place: it and the strokes that strike it again. @param {At} at */
export function stayAt(at) {
  const events = barAt(at)?.events ?? [];
  let [first, last] = [at.event, at.event];
  while (events[first]?.again) first -= 1;
  while (events[last + 1]?.again) last += 1;
  return { first, last };
}

/** The event that starts on a beat of a bar. @param {{part: number, bar: number}} at @param {number} beat from 0 @returns {At} */
export function onBeat(at, beat) {
  const bar = barAt(at);
  const event = bar ? startsOf(bar).findIndex((start) => Math.abs(start - bar.grid[beat]) < 1e-6) : -1;
  return { part: at.part, bar: at.bar, event: Math.max(0, event) };
}

/** Select a chord: it goes on the neck and sounds. @param {At} at */
export function select(at) {
  land(at);
  const event = eventAt(at);
  if (event?.grip) {
    showGrip(event.grip);
    strum(sounding.value);
  } else if (event) setFrets(Array((lesson.value.tuning ?? "").split(" ").length).fill(null));
}

/** Select a chord without a sound, the keys with it. @param {At} at */
export function land(at) {
  selected.value = at;
  requestAnimationFrame(() => nodeAt(at)?.focus({ preventScroll: false }));
}

/** A place in words. @param {{part: number, bar: number}} at @param {number} beat from 0 */
export const placeWords = (at, beat) => `${lesson.peek()?.parts[at.part]?.name}, bar ${at.bar + 1}, beat ${beat + 1}`;
