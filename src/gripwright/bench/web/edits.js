// The one way the bench writes: an edit against a base hash, undone by its inverse; kept while
// the bench is away.
import { batch, effect, signal } from "./vendor/signals.js";
import * as api from "./api.js";
import { fits, keep, release, waiting, wordsOf } from "./kept.js";
import { differences, rebased, rebasedHistory } from "./patch.js";
import { lesson, notice, selected, tell } from "./state.js";
import { inTurn } from "./turn.js";

/** @typedef {import("./patch.js").Patch} Patch */
/** @typedef {"made" | "kept" | "apart" | "refused"} Outcome */
/** A change of a lesson, and the text that it was made on. @typedef {{path: string, call: string, body: any, base: string, sha256: string, made?: (text: string) => void}} Change */

export const saving = signal(false);
export const depth = signal({ undo: 0, redo: 0 });
const past = { done: /** @type {Patch[]} */ ([]), undone: /** @type {Patch[]} */ ([]) };
/** @type {any} */
let ours = null;
/** @type {any} */
let known = null;
let outside = 0;

function count() {
  depth.value = { undo: past.done.length, redo: past.undone.length };
}

// Another lesson has another past; a change from outside moves the places of this one's.
effect(() => {
  const [before, now] = [known, lesson.value];
  known = now;
  if (before?.path !== now?.path) Object.assign(past, { done: [], undone: [] });
  else if (now && now !== ours && before.text !== now.text) {
    outside += 1;
    const change = differences(before.text, now.text);
    Object.assign(past, { done: rebasedHistory(past.done, change), undone: rebasedHistory(past.undone, change) });
  }
  count();
});

/**
 * Send a change to the bench and show what came of it; what takes it back is remembered.
 * @param {Pick<Change, "path" | "call" | "body" | "made">} change @param {string} sha256 @param {"done" | "undone"} into
 */
export async function send({ path, call, body, made }, sha256, into = "done") {
  saving.value = true;
  try {
    const answer = await api.post(call, { path, base_sha256: sha256, ...body });
    if (lesson.peek()?.path !== path) return;
    ours = answer.lesson;
    batch(() => { made?.(answer.lesson.text); lesson.value = answer.lesson; });
    past[into].push(answer.inverse);
    count();
  } finally {
    saving.value = false;
  }
}

/** An edit as it stands on the text that the window shows now, null where that was changed in the same place. @param {Change} change @returns {Change | null} */
function onto(change) {
  const open = lesson.peek();
  if (open?.path !== change.path) return change;
  const body = rebased(change.body, differences(change.base, open.text));
  return body && { ...change, body, base: open.text, sha256: open.sha256 };
}

/** @param {Change} change @param {boolean} apart @returns {Outcome} */
function keepIt({ path, call, body, base, sha256 }, apart) {
  const words = wordsOf(call, body);
  if (!apart && !fits({ path, call, body }, lesson.peek()?.parts ?? [])) {
    tell(new Error(`Not kept: ${words}. A change that may move it waits for the bench already and comes first`));
    return "refused";
  }
  keep({ path, call, body, base, sha256, apart, words });
  return apart ? "apart" : "kept";
}

/** Make a change, or keep it: while the bench is away, or where the file says something else by now. @param {Change} change @param {number} seen changes from outside @returns {Promise<Outcome>} */
export async function attempt(change, seen = outside) {
  if (waiting.peek().length) return keepIt(change, false);
  const typed = change.call === "edit";
  const now = typed ? onto(change) : change;
  if (!now || (!typed && seen !== outside)) return keepIt(change, true);
  const open = lesson.peek();
  try {
    await send(now, open?.path === now.path ? open.sha256 : now.sha256);
    return "made";
  } catch (error) {
    if (!(error instanceof api.Refusal) || (error.status !== 409 && !error.away)) throw error;
    if (error.away) return keepIt(change, false);
    if (open?.path === change.path) lesson.value = error.body.lesson;
    if (!typed || open?.path !== change.path || !onto(change)) return keepIt(change, true);
    notice.value = { text: "The lesson was changed elsewhere meanwhile; both changes are in it", tone: "calm" };
    return attempt(change);
  }
}

/** Make a change when those before it are made; `make` says which, at that moment. @param {() => Change | null} make @returns {Promise<Outcome>} */
export function write(make) {
  past.undone = [];
  const seen = outside;
  return inTurn(async () => {
    const change = make();
    return change ? await attempt(change, seen) : "made";
  }).catch((error) => {
    tell(error);
    return "refused";
  });
}

/** Do something meant, such as setting a chord; the server knows the text to change. @param {string} intent @param {object} args @returns {Promise<boolean>} whether it was made */
export async function intend(intent, args) {
  const open = lesson.peek();
  if (!open) return false;
  const { path } = open;
  return (await write(() => ({ path, call: "intent", body: { intent, args }, base: lesson.peek().text, sha256: lesson.peek().sha256 }))) === "made";
}

/** @param {"done" | "undone"} from @param {"done" | "undone"} into */
function step(from, into) {
  const last = waiting.peek().findLast((one) => one.call === "intent");
  if (last && from === "done") return release(last.id);
  void inTurn(async () => {
    for (let tries = 0; tries < 3 && past[from].length; tries += 1) {
      const open = lesson.peek();
      try {
        await send({ path: open.path, call: "edit", body: past[from].at(-1) }, open.sha256, into);
        past[from].pop();
        return count();
      } catch (error) {
        if (!(error instanceof api.Refusal) || error.status !== 409) throw error;
        lesson.value = error.body.lesson;
      }
    }
  }).catch(tell);
}

export const undo = () => step("done", "undone");
export const redo = () => step("undone", "done");

/** Put a grip at the selected chord, or at the end of the last part. @param {string} symbol @param {string} grip */
export async function putGrip(symbol, grip) {
  const open = lesson.peek();
  if (!open) return;
  const at = selected.peek();
  const made = at ? await intend("set_chord", { ...at, writing: `${grip}=${symbol}` })
    : await intend("append_chord", { part: Math.max(0, open.parts.length - 1), writing: `${grip}=${symbol}` });
  if (made) notice.value = { text: `${symbol} as ${grip} is in the chart`, tone: "calm" };
}
