// Go to a line of the lesson's text.
import { lesson } from "./state.js";
import { go, place } from "./url.js";

/** Show the changes and choose a line of the text, counted from 1. @param {number} line */
export function jump(line) {
  go({ view: "changes" });
  requestAnimationFrame(() => {
    const area = document.querySelector("textarea");
    if (!area) return;
    const lines = area.value.split("\n");
    const start = lines.slice(0, line - 1).join("\n").length + (line > 1 ? 1 : 0);
    area.focus();
    area.setSelectionRange(start, start + (lines[line - 1] ?? "").length);
    const tall = parseFloat(getComputedStyle(area).lineHeight) || 22;
    area.scrollTop = Math.max(0, (line - 4) * tall);
  });
}

/** Open a lesson at a line of its text. @param {string} path @param {number} line */
export function openAt(path, line) {
  const open = lesson.peek()?.path === path;
  go({ lesson: path, view: "changes", at: "", from: "" });
  if (open) return jump(line);
  const end = lesson.subscribe((now) => {
    if (now?.path === path) jump(line);
    if (now?.path === path || place.peek().lesson !== path) queueMicrotask(() => end());
  });
  return undefined;
}
