// Go to a line of the lesson's text.
import { go } from "./url.js";

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
