// What the proof finds in the open lesson: by itself at every change, with a take when it is asked.
import { signal } from "./vendor/signals.js";
import { proofWith } from "./beside.js";
import { longWork, nothing } from "./jobs.js";
import { aboutLesson, lesson, tell } from "./state.js";

/** What was found, in which text, with what beside. @typedef {{findings: any[], sha256: string, path: string, with: Record<string, any>}} Proved */
export const proved = signal(/** @type {Proved} */ ({ findings: [], sha256: "", path: "", with: {} }));
export const proving = nothing();

/** @param {Record<string, any>} more @param {string} [job] */
async function ask(more, job) {
  const { path } = lesson.peek();
  const answer = await aboutLesson("proof", job ? { ...more, job } : more);
  const known = proved.peek();
  const told = !job && known.path === path && known.sha256 === answer?.sha256; // and with more beside, perhaps
  if (answer && !told) proved.value = { findings: answer.findings, sha256: answer.sha256, path, with: more };
}

/** Prove the lesson as it stands; what a take said of this very text is kept. */
export function prove() {
  const { path, sha256 } = lesson.peek();
  if (proved.peek().path !== path || proved.peek().sha256 !== sha256) void ask({}).catch(tell);
}

/** Prove it against the take, the cut and the captions that are chosen. */
export const proveWith = () => longWork(proving, "Proving it with what you chose…", (job) => ask(proofWith.peek(), job));
