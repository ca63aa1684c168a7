// Keys that work everywhere; each view and the neck have their own beside.
import { redo, undo } from "./edits.js";
import { go, VIEWS } from "./url.js";

/** @param {EventTarget | null} target */
export const typing = (target) => target instanceof HTMLElement && ["INPUT", "TEXTAREA", "SELECT"].includes(target.tagName);

/** @param {KeyboardEvent} event */
function onKey(event) {
  const command = event.ctrlKey || event.metaKey;
  if (event.altKey && !command && /^[1-6]$/.test(event.key)) {
    go({ view: VIEWS[Number(event.key) - 1] });
  } else if (command && event.key.toLowerCase() === "z" && !typing(event.target)) {
    if (event.shiftKey) redo();
    else undo();
  } else if (command && event.key.toLowerCase() === "y" && !typing(event.target)) {
    redo();
  } else return;
  event.preventDefault();
}

export function startKeys() {
  addEventListener("keydown", onKey);
}
