// The one way the bench writes: an edit against a base hash, undone by its inverse.
import { batch, signal } from "./vendor/signals.js";
import * as api from "./api.js";
import { lesson, lessons, notice, refreshOnEvent, selected, tell } from "./state.js";

/** @typedef {{start: number, end: number, text: string}} Patch */

export const saving = signal(false);
export const conflict = signal(/** @type {null | {again: () => Promise<boolean>}} */ (null));
/** @type {Patch[]} */
let done = [];
/** @type {Patch[]} */
let undone = [];
export const depth = signal({ undo: 0, redo: 0 });
/** @type {Promise<unknown>} */
let queue = Promise.resolve();

function count() {
  depth.value = { undo: done.length, redo: undone.length };
}

/** Forget what was done: another lesson is open. */
export function forget() {
  done = [];
  undone = [];
  count();
}

/**
 * Send a change; on success keep its inverse. Changes go one after another.
 * @param {string} call @param {object} body @param {Patch[]} keep
 */
function change(call, body, keep) {
  const made = queue.then(() => attempt(call, body, keep)).catch((error) => { tell(error); return false; });
  queue = made;
  return made;
}

/** @param {string} call @param {object} body @param {Patch[]} keep @returns {Promise<boolean>} whether it was made */
async function attempt(call, body, keep) {
  const open = lesson.peek();
  if (!open) return false;
  saving.value = true;
  try {
    const answer = await api.post(call, { path: open.path, base_sha256: open.sha256, ...body });
    keep.push(answer.inverse);
    batch(() => { lesson.value = answer.lesson; conflict.value = null; });
    count();
    return true;
  } catch (error) {
    if (!(error instanceof api.Refusal) || error.status !== 409) throw error;
    batch(() => {
      lesson.value = error.body.lesson;
      conflict.value = { again: () => attempt(call, body, keep) };
    });
    return false;
  } finally {
    saving.value = false;
  }
}

/** Replace a stretch of the lesson's text. @param {Patch} patch */
export function edit(patch) {
  undone = [];
  return change("edit", patch, done);
}

/** Do something meant, such as setting a chord; the server knows the text to change. @param {string} intent @param {object} args */
export function intend(intent, args) {
  undone = [];
  return change("intent", { intent, args }, done);
}

export function undo() {
  const patch = done.pop();
  if (patch) void change("edit", patch, undone);
  count();
}

export function redo() {
  const patch = undone.pop();
  if (patch) void change("edit", patch, done);
  count();
}

/** The smallest edit between two texts. @param {string} before @param {string} after @returns {Patch | null} */
export function difference(before, after) {
  if (before === after) return null;
  let start = 0;
  const least = Math.min(before.length, after.length);
  while (start < least && before[start] === after[start]) start += 1;
  let tail = 0;
  while (tail < least - start && before[before.length - 1 - tail] === after[after.length - 1 - tail]) tail += 1;
  return { start: points(before, start), end: points(before, before.length - tail), text: after.slice(start, after.length - tail) };
}

/** Python counts code points, the browser UTF-16 units. @param {string} text @param {number} units */
const points = (text, units) => [...text.slice(0, units)].length;

/** Put a grip at the selected chord, or at the end of the last part. @param {string} symbol @param {string} grip */
export function putGrip(symbol, grip) {
  const open = lesson.peek();
  if (!open) return;
  const at = selected.peek();
  if (at) void intend("set_chord", { ...at, writing: `${grip}=${symbol}` });
  else void intend("append_chord", { part: Math.max(0, open.parts.length - 1), writing: `${grip}=${symbol}` });
  notice.value = { text: `${symbol} as ${grip} is in the chart`, tone: "calm" };
}

/** Something happened elsewhere: in another window, in an editor, in a build. @param {any} event */
export function heard(event) {
  refreshOnEvent(event);
}
