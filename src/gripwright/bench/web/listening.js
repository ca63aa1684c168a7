// What the listening view holds: the recording, the span, what was heard in it.
import { effect, signal } from "./vendor/signals.js";
import * as api from "./api.js";
import { nothing, working } from "./jobs.js";
import { pretty } from "./music.js";
import { lesson } from "./state.js";
import { place } from "./url.js";

const LEAD_S = 0.5;
const PLACE_S = 2.5;

/** @typedef {{name: string, seconds: number, peaks: number[], buffer: AudioBuffer}} Loaded */
export const loaded = signal(/** @type {Loaded | null} */ (null));
export const span = signal({ from: 0, to: 0 });
export const how = signal({ speed: 100, cents: 0, band: "whole", under: false });
export const events = signal(/** @type {any[]} */ ([]));
export const told = signal(/** @type {any} */ (null));
export const busy = nothing();
/** The event that sounds now, -1 for none. */
export const at = signal(-1);

/** Move a chord of the take by hand; the correction is kept beside the lesson. @param {number} number @param {number} start_s */
export const correct = (number, start_s) => working(busy, "Keeping your correction…", async () => {
  const before = events.value;
  const answer = await api.post("correct", { lesson: lesson.value.path, number, start_s });
  events.value = laid(answer.events).map((event, index) => ({ ...event, grip: before[index]?.grip ?? null }));
});

/** @param {any[]} rows */
export const laid = (rows) => rows.map((event) => ({ start_s: event.start_s, end_s: event.end_s, label: pretty(event.chord), grip: event.grip ?? null, byHand: event.by === "hand", movable: true }));

let reached = "";

/** Choose the place in the recording that the address names, the keys at what plays it. */
export function reach() {
  const { at: name, from } = place.peek();
  const [key, second] = [`${name} ${from}`, Number(from)];
  if (!loaded.peek() || reached === key) return;
  reached = key;
  if (!from || !Number.isFinite(second)) return;
  span.value = { from: Math.max(0, second - LEAD_S), to: Math.min(loaded.peek()?.seconds ?? 0, second + PLACE_S) };
  requestAnimationFrame(() => /** @type {HTMLElement | null} */ (document.querySelector(".tools .loop"))?.focus());
}

let follows = "";
// What was followed belongs to one lesson: another one starts afresh.
effect(() => {
  const path = lesson.value?.path ?? "";
  if (path !== follows && events.peek()[0]?.movable) [events.value, told.value] = [[], null];
  follows = path;
});
