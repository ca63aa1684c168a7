// Proof and publish: findings that jump, a build with its progress, what came out.
import { useEffect } from "../vendor/hooks.js";
import { signal } from "../vendor/signals.js";
import * as api from "../api.js";
import { html } from "../html.js";
import { jump } from "../jump.js";
import { aboutLesson, job, lesson, tell, working } from "../state.js";
import { Shelf } from "./folder.js";

const findings = signal(/** @type {any[]} */ ([]));
const pages = signal(/** @type {string[]} */ ([]));
let pagesOf = "";
const busy = signal("");
const WORDS = /** @type {Record<string, string>} */ ({ wrong: "Wrong", doubtful: "In doubt", note: "Worth a look" });

let asked = 0;

/** Prove the lesson; an older answer never overwrites a newer one. */
async function proof() {
  const mine = ++asked;
  try {
    const answer = await aboutLesson("proof");
    if (answer && mine === asked) findings.value = answer.findings;
  } catch (error) {
    tell(error);
  }
}

const preview = () => working(busy, "Setting the handout…", async () => {
  for (const old of pages.value) URL.revokeObjectURL(old);
  pages.value = [];
  const { path } = lesson.value;
  const page = await api.bytes("preview", { path });
  pagesOf = path;
  pages.value = [URL.createObjectURL(new Blob([page], { type: "application/pdf" }))];
});

/** Which lesson this window has built in which job. @type {Map<string, string>} */
const builtBy = new Map();

/** @param {boolean} anyway */
const build = (anyway) => api.post("build", { path: lesson.value.path, anyway }).then((answer) => { builtBy.set(answer.job.id, lesson.value.path); if (job.value?.id !== answer.job.id) job.value = answer.job; }).catch(tell);
const cancel = () => api.post("cancel", { id: job.value?.id }).catch(tell);

/** @param {string} path */
async function openResult(path) {
  try {
    const { address } = await api.post("ticket", { id: job.value?.id, path });
    window.open(address, "_blank", "noopener");
  } catch (error) {
    tell(error);
  }
}

function Findings() {
  if (!findings.value.length) return html`<p>Nothing to put right, as far as the proof can tell.</p>`;
  return html`<ul class="findings">${findings.value.map((finding) => html`<li class=${finding.severity}>
    <button type="button" class="quiet" onClick=${() => jump(finding.line)}><strong>${WORDS[finding.severity] ?? finding.severity}</strong> line ${finding.line}</button>
    <span>${finding.message} ${finding.suggestion ? html`<em>${finding.suggestion}</em>` : null}</span></li>`)}</ul>`;
}

function Job() {
  const now = job.value;
  const other = now && now.state !== "running" && (builtBy.get(now.id) ?? lesson.value.path) !== lesson.value.path;
  if (!now || other) return null;
  const results = now.result?.products ?? [];
  return html`<section class="job" aria-live="polite"><p>${now.state === "running" ? `Building: ${now.stage}` : now.state === "done" ? "The pack is ready." : now.message ?? now.state}</p>
    <progress max=${now.total || 1} value=${now.done} aria-label="Progress of the build"></progress>
    ${now.state === "running" ? html`<button type="button" class="quiet" onClick=${cancel}>Stop</button>` : null}
    <ul class="products">${results.map((/** @type {any} */ row) => html`<li><button type="button" class="quiet" onClick=${() => openResult(row.path)}>${row.path}</button> <span class="share">${(row.bytes / 1000).toFixed(0)} kB</span></li>`)}</ul></section>`;
}

export function PublishView() {
  useEffect(() => { if (lesson.value) void proof(); }, [lesson.value?.sha256]);
  if (!lesson.value) return html`<${Shelf} />`;
  const wrong = findings.value.some((finding) => finding.severity === "wrong");
  return html`<section class="publish-view" aria-label="Proof and publish"><h1>${lesson.value.title}</h1>
    <div class="two"><div><h2>Proof</h2><${Findings} /></div><div><h2>Pack</h2>
      <div class="actions"><button type="button" disabled=${job.value?.state === "running"} onClick=${() => build(false)}>Build the pack</button>
        ${wrong ? html`<button type="button" class="quiet" onClick=${() => build(true)}>Build it anyway</button>` : null}
        <button type="button" class="quiet" onClick=${preview}>Show the handout</button></div>
      <p role="status" class="quiet-word">${busy.value}</p><${Job} />${(pagesOf === lesson.value.path ? pages.value : []).map((page) => html`<iframe class="page" title="Handout" src=${page}></iframe><p><a href=${page} target="_blank" rel="noopener">The handout in a window of its own</a></p>`)}
      <p class="caution">A song that is not yours needs the leave of those who own it, where the law asks for it. Publish what you may.</p></div></div></section>`;
}
