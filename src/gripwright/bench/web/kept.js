// Changes that could not be written: the bench was away, or the file was changed elsewhere.
import { computed, effect, signal } from "./vendor/signals.js";
import { reaches } from "./independent.js";

/**
 * A change that waits. `apart` ones wait for the teacher, the others for the bench. `base` is the
 * text that it was made on.
 * @typedef {{id: number, path: string, call: string, body: any, sha256: string, base: string, apart: boolean, words: string}} Kept
 */

const KEY = "bench-kept";

/** @returns {Kept[]} */
function stored() {
  try {
    return JSON.parse(sessionStorage.getItem(KEY) ?? "[]");
  } catch {
    return [];
  }
}

export const kept = signal(stored());
effect(() => {
  if (kept.value.length) sessionStorage.setItem(KEY, JSON.stringify(kept.value));
  else sessionStorage.removeItem(KEY);
});

export const waiting = computed(() => kept.value.filter((one) => !one.apart));
export const apart = computed(() => kept.value.filter((one) => one.apart));

/** What waits to be written into a chord, by its place. */
export const waitingWords = computed(() => new Map(waiting.value.filter((one) => one.body.intent === "set_chord")
  .map(({ body: { args } }) => [`${args.part}-${args.bar}-${args.event}`, args.writing])));

/** Whether a change says the same thing anew. @param {Kept} old @param {{path: string, call: string, body: any}} next */
function replaces(old, { path, call, body }) {
  if (old.apart || old.path !== path || old.call !== call || old.body.intent !== body.intent) return false;
  if (call === "edit") return true; // the text as a whole, told against the same base
  const [a, b] = [old.body.args, body.args];
  if (body.intent === "set_front") return a.field === b.field;
  return body.intent === "set_chord" && a.part === b.part && a.bar === b.bar && a.event === b.event;
}

/** Whether a change can wait with those that wait: none may move what another one points at. @param {{path: string, call: string, body: any}} next @param {any[]} parts of the chart as it is drawn */
export function fits({ path, call, body }, parts) {
  return call === "edit" || !waiting.value.some((old) => old.path === path && old.call === "intent" && reaches(old.body, body, parts));
}

/** @param {Omit<Kept, "id">} change */
export function keep(change) {
  const left = kept.value.filter((old) => !replaces(old, change));
  kept.value = [...left, { ...change, id: Math.max(0, ...kept.value.map((one) => one.id)) + 1 }];
}

/** @param {number} id */
export function release(id) {
  kept.value = kept.value.filter((one) => one.id !== id);
}

/** @param {Kept[]} changes */
export function setApart(changes) {
  const ids = new Set(changes.map((one) => one.id));
  kept.value = kept.value.map((one) => (ids.has(one.id) ? { ...one, apart: true } : one));
}

/** A change in words. @param {string} call @param {any} body */
export function wordsOf(call, body) {
  const { intent, args } = body;
  const bar = args?.bar === undefined ? "" : ` of bar ${args.bar + 1}`;
  if (call === "edit") return "words of the lesson's text";
  if (intent === "set_chord") return `${args.writing} as chord ${args.event + 1}${bar}`;
  if (intent === "set_front") return `${args.field}: ${args.value}`;
  if (intent === "append_chord") return `${args.writing} at the end`;
  if (intent === "add_part") return `a new part, ${args.name}`;
  if (intent.endsWith("_bar")) return `a bar ${{ insert_bar: "more", copy_bar: "copied", delete_bar: "less" }[/** @type {"insert_bar"} */ (intent)] ?? "changed"}, at bar ${args.bar + 1}`;
  const done = { insert_chord: "a chord more", delete_chord: "a chord less", stretch_chord: "another length", move_chord: "another place", carry_chord: "another place", push_chord: "another arrival" };
  return `${done[/** @type {"insert_chord"} */ (intent)] ?? "a change"}${args?.event === undefined ? "" : `, chord ${args.event + 1}`}${bar}`;
}
