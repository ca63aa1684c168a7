// What the shelf holds and answers: where something was taught, what is favoured, what comes next.
import { signal } from "./vendor/signals.js";
import * as api from "./api.js";
import { longWork, nothing } from "./jobs.js";
import { lesson, tell } from "./state.js";
import { go, place } from "./url.js";

/** How many lessons are on it, and which of the folder are not there as they are now; null until it is known. */
export const shelf = signal(/** @type {null | {lessons: number, waiting: string[]}} */ (null));
export const report = signal(/** @type {any} */ (null));
export const ahead = signal(/** @type {any} */ (null));
/** What the open lesson brings. */
export const brings = signal(/** @type {any} */ (null));
export const found = signal(/** @type {any} */ (null));
export const moved = signal(false);
export const busy = nothing();

/** Look at the shelf. */
export async function look() {
  try {
    shelf.value = await api.get("shelf");
    if (!shelf.value?.lessons) return;
    [report.value, ahead.value] = await Promise.all([api.post("report", {}), api.post("next", {})]);
    await compare();
  } catch (error) {
    tell(error);
  }
}

/** See what is new in the open lesson, where there is a whole one. */
export async function compare() {
  const open = lesson.peek();
  brings.value = null;
  if (!open?.whole || !shelf.peek()?.lessons) return;
  const answer = await api.post("next", { path: open.path });
  if (lesson.peek()?.path === open.path) brings.value = answer.brings;
}

/** Put the lessons of the folder on the shelf, as they are now. */
export const putAll = () => longWork(busy, "Putting the lessons on the shelf…", async (job) => {
  const told = await api.post("shelf", { job });
  await look();
  if (told.refused.length) tell(`Left out, as they are no whole lessons yet: ${told.refused.join(", ")}`);
});

/** Find where something was taught; the question stands in the address. */
export async function search() {
  const query = place.peek().find;
  if (!query) {
    found.value = null;
    return;
  }
  try {
    const answer = await api.post("find", { query, moved: moved.peek() });
    if (place.peek().find === query) found.value = answer;
  } catch (error) {
    found.value = null;
    tell(error);
  }
}

/** @param {string} query @param {boolean} anywhere */
export function ask(query, anywhere) {
  const again = place.peek().find === query;
  moved.value = anywhere;
  go({ view: "shelf", find: query });
  if (again) void search();
}
