// The view lives in the address: back and forward work, a view can be bookmarked.
import { signal } from "./vendor/signals.js";

/** `at` is a recording and `from` its second, `find` a question to the shelf. @typedef {{view: string, lesson: string, grip: string, at: string, from: string, find: string}} Place */

export const VIEWS = ["grip", "changes", "arrange", "listen", "publish", "shelf"];

/** @returns {Place} */
function read() {
  const query = new URLSearchParams(location.search);
  const view = query.get("view") ?? "grip";
  return {
    view: VIEWS.includes(view) ? view : "grip",
    lesson: query.get("lesson") ?? "",
    grip: query.get("grip") ?? "",
    at: query.get("at") ?? "",
    from: query.get("from") ?? "",
    find: query.get("find") ?? "",
  };
}

export const place = signal(read());

/** Go to a place; `quiet` replaces the entry instead of adding one. @param {Partial<Place>} change @param {boolean} [quiet] */
export function go(change, quiet = false) {
  const next = { ...place.peek(), ...change };
  const query = new URLSearchParams();
  for (const [name, value] of Object.entries(next)) if (value) query.set(name, value);
  history[quiet ? "replaceState" : "pushState"](null, "", `${location.pathname}?${query}`);
  place.value = next;
}

addEventListener("popstate", () => { place.value = read(); });
