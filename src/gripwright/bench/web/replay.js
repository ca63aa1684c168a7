// The bench is back, or the teacher has chosen: what was kept is written.
import * as api from "./api.js";
import { settle } from "./draft.js";
import { send } from "./edits.js";
import { heardJob } from "./jobs.js";
import { apart, kept, release, setApart, waiting } from "./kept.js";
import { differences, quarrel, rebased } from "./patch.js";
import { lesson, notice, refreshOnEvent, tell } from "./state.js";
import { inTurn } from "./turn.js";

/** @typedef {import("./kept.js").Kept} Kept */

/** Write changes that were meant, in their order, as long as the file is what they were made on. @param {Kept[]} changes */
async function writeAgain(changes) {
  const [{ path, sha256 }] = changes;
  const now = await api.get("lesson", { path });
  let base = now.sha256;
  if (lesson.peek()?.path === path && lesson.peek().sha256 !== base) lesson.value = now;
  for (const [index, change] of changes.entries()) {
    const left = changes.slice(index);
    if (now.sha256 !== sha256 || base === "") return setApart(left);
    try {
      await send(change, base);
      release(change.id);
      base = lesson.peek()?.path === path ? lesson.peek().sha256 : (await api.get("lesson", { path })).sha256;
    } catch (error) {
      if (!(error instanceof api.Refusal)) throw error;
      if (error.away) kept.value = kept.value.map((one) => (left.some(({ id }) => id === one.id) ? { ...one, sha256: base } : one));
      else setApart(left);
      return undefined;
    }
  }
  return undefined;
}

/** Write words that were typed, where they belong in the file as it is now. @param {Kept} typed */
async function writeTyped(typed) {
  const { path } = typed;
  const now = await api.get("lesson", { path });
  if (lesson.peek()?.path === path && lesson.peek().sha256 !== now.sha256) lesson.value = now;
  const body = rebased(typed.body, differences(typed.base, now.text));
  if (body) await send({ path, call: "edit", body, made: (text) => settle(path, text, false) }, now.sha256);
  else settle(path, now.text, true);
  if (body) release(typed.id);
  else setApart([typed]);
}

/** Write all that waits for the bench. */
async function replay() {
  const before = waiting.peek();
  if (!before.length) return;
  for (const path of new Set(before.map((one) => one.path))) {
    const meant = waiting.peek().filter((one) => one.path === path && one.call === "intent");
    if (meant.length) await writeAgain(meant);
  }
  if (waiting.peek().some((one) => one.call === "intent")) return;
  for (const typed of waiting.peek()) await writeTyped(typed);
  if (waiting.peek().length) return;
  const { length } = before;
  if (!apart.peek().length) notice.value = { text: length === 1 ? "The bench is back; the change that was kept is written" : `The bench is back; the ${length} changes that were kept are written`, tone: "calm" };
}

/** Something happened elsewhere: in another window, in an editor, in a long work. @param {any} event */
export function heard(event) {
  heardJob(event);
  refreshOnEvent(event);
  if (event.kind === "hello") void inTurn(replay).catch((error) => { if (!(error instanceof api.Refusal && error.away)) tell(error); });
}

/** What I wrote and what the file says there, of a change that is set apart. @param {Kept} change */
export const sides = (change) => (change.call === "edit" && lesson.value?.path === change.path ? quarrel(change.base, lesson.value.text, change.body) : null);

/** Make a change that was set apart in the file as it is now. @param {Kept} change */
export const makeIt = (change) => inTurn(async () => {
  const body = sides(change)?.patch ?? change.body;
  await send({ ...change, body }, lesson.peek().sha256);
  release(change.id);
}).catch((error) => {
  if (error instanceof api.Refusal && error.status === 409) lesson.value = error.body.lesson;
  tell(error);
});
