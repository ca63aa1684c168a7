// Long work: what the bench is at, how far it is, and how it is cancelled.
import { computed, signal } from "./vendor/signals.js";
import * as api from "./api.js";
import { tell } from "./state.js";

/** @typedef {{id: string, kind: string, path: string, stage: string, done: number, total: number, state: string, message?: string | null, result?: any}} Job */
/** What a view waits for, in words; `id` is the job, nothing where it cannot be cancelled. @typedef {{words: string, id: string}} Waiting */

const KEPT = 16;
const ID_BYTES = 8;
/** The latest word of each job, the newest last. */
export const jobs = signal(/** @type {Job[]} */ ([]));
/** The pack that is being built, or was built last. */
export const built = computed(() => jobs.value.findLast((job) => job.kind === "build") ?? null);
/** The job that is being cancelled. */
export const leaving = signal("");

/** Take in what the stream tells. @param {any} event */
export function heardJob(event) {
  if (event.kind === "hello") jobs.value = jobs.value.filter((job) => job.state !== "running"); // what still runs is told next
  if (event.kind === "job") jobs.value = [...jobs.value.filter((job) => job.id !== event.job.id), event.job].slice(-KEPT);
}

/** @returns {import("./vendor/signals.js").Signal<Waiting>} */
export const nothing = () => signal({ words: "", id: "" });

/** @param {string} id */
export function cancel(id) {
  leaving.value = id;
  void api.post("cancel", { id }).catch(tell);
}

/** Do work while a line of words says so; trouble is told. @param {import("./vendor/signals.js").Signal<Waiting>} busy @param {string} words @param {(id: string) => Promise<void>} work @param {string} [id] */
export async function working(busy, words, work, id = "") {
  const mine = { words, id };
  let after = "";
  busy.value = mine;
  try {
    await work(id);
  } catch (error) {
    if (error instanceof api.Refusal && error.code === "stopped") after = error.message;
    else tell(error);
  } finally {
    if (busy.value === mine) busy.value = { words: after, id: "" };
  }
}

/** Do long work that can be cancelled; it gives the bench the job's id. @param {import("./vendor/signals.js").Signal<Waiting>} busy @param {string} words @param {(id: string) => Promise<void>} work */
export function longWork(busy, words, work) {
  const bytes = crypto.getRandomValues(new Uint8Array(ID_BYTES));
  return working(busy, words, work, [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join(""));
}
