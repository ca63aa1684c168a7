// The lesson's text while it is typed: what is not in the file yet is never overwritten.
import { effect, signal } from "./vendor/signals.js";
import { write } from "./edits.js";
import { waiting } from "./kept.js";
import { applied, carriedOver, difference, differences, rebased, units } from "./patch.js";
import { lesson } from "./state.js";

const PAUSE_MS = 350;
/** `base` is the file's text that the typing began on, `typed` what stands in the field. */
const draft = { path: "", base: "", sha256: "", typed: "" };
/** Whether something typed is not in the file. */
export const dirty = signal(false);
/** @type {HTMLTextAreaElement | null} */
let field = null;
/** @type {ReturnType<typeof setTimeout> | undefined} */
let pause;

/** A text as a field shows it: a browser knows one kind of line end. @param {string} text */
const shown = (text) => text.replace(/\r\n?/g, "\n");

/** A patch of the shown text as one of the file's own, line ends and all. @param {string} base @param {import("./patch.js").Patch} patch */
function raw(base, patch) {
  if (!base.includes("\r")) return patch;
  const places = [0];
  for (const sign of base.match(/\r\n|[^]/gu) ?? []) places.push(places[places.length - 1] + [...sign].length);
  return { start: places[patch.start], end: places[patch.end], text: base.includes("\r\n") ? patch.text.replace(/\n/g, "\r\n") : patch.text };
}

/** Show a text in the field, the caret staying with its words. @param {string} text */
function put(text) {
  if (!field || field.value === text) {
    draft.typed = text;
    return;
  }
  const change = differences(draft.typed, text);
  draft.typed = text;
  const [start, end] = [field.selectionStart, field.selectionEnd].map((at) => units(text, carriedOver([...field?.value.slice(0, at) ?? ""].length, change)));
  const top = field.scrollTop;
  field.value = text;
  if (document.activeElement === field) field.setSelectionRange(start, end);
  field.scrollTop = top;
}

/** The file says something new: what is being typed is laid onto it. @param {any} open */
function follow(open) {
  if ((open?.path ?? "") !== draft.path) {
    if (draft.typed !== shown(draft.base)) commit();
    const left = waiting.peek().find((one) => one.call === "edit" && one.path === open?.path);
    Object.assign(draft, { path: open?.path ?? "", base: left?.base ?? open?.text ?? "", sha256: left?.sha256 ?? open?.sha256 ?? "" });
    put(shown(left ? applied(left.base, left.body) : draft.base));
  }
  if (!open) return;
  const [old, next] = [shown(draft.base), shown(open.text)];
  const mine = difference(old, draft.typed);
  const moved = mine && draft.typed !== next ? rebased(mine, differences(old, next)) : null;
  if (mine && draft.typed !== next && !moved) return;
  Object.assign(draft, { base: open.text, sha256: open.sha256 });
  put(moved ? applied(next, moved) : next);
  dirty.value = draft.typed !== next;
}

/** The file holds what was sent; or what was typed waits elsewhere and the field shows the file. @param {string} path @param {string} text @param {boolean} shows */
export function settle(path, text, shows) {
  if (draft.path !== path) return;
  draft.base = text;
  if (!shows) return;
  put(shown(text));
  follow(lesson.peek());
}

/** Write what was typed into the file. */
export function commit() {
  clearTimeout(pause);
  const { path } = draft;
  const was = { ...draft };
  void write(() => {
    const now = draft.path === path ? { ...draft } : was;
    const patch = difference(shown(now.base), now.typed);
    if (!patch) return null;
    const body = raw(now.base, patch);
    const made = (/** @type {string} */ text) => settle(path, text, false);
    return { path, call: "edit", body, base: now.base, sha256: now.sha256, made };
  }).then((outcome) => {
    if (outcome === "apart" && lesson.peek()) settle(path, lesson.peek().text, true);
  });
}

/** Something was typed. */
function onInput() {
  if (!field) return;
  draft.typed = field.value;
  dirty.value = true;
  clearTimeout(pause);
  pause = setTimeout(commit, PAUSE_MS);
}

/** Give the draft its field; undefined takes it away. @param {HTMLTextAreaElement | null} node */
export function fieldIs(node) {
  if (node === field) return;
  field = node;
  if (!node) return commit();
  node.value = draft.typed;
  node.addEventListener("input", onInput);
  node.addEventListener("blur", commit);
}

effect(() => follow(lesson.value));
