// Proof and publish: findings that jump, a build with its progress, what came out.
import { useEffect } from "../vendor/hooks.js";
import { signal } from "../vendor/signals.js";
import * as api from "../api.js";
import { buildWith, proofWith } from "../beside.js";
import { html } from "../html.js";
import { built, heardJob, nothing, working } from "../jobs.js";
import { jump } from "../jump.js";
import { prove, proved, proveWith, proving } from "../proving.js";
import { lesson, tell } from "../state.js";
import { go } from "../url.js";
import { Busy, Going } from "./busy.js";
import { Files, Look } from "./choose.js";
import { Folder } from "./folder.js";

const pages = signal(/** @type {string[]} */ ([]));
let pagesOf = "";
const busy = nothing();
const WORDS = /** @type {Record<string, string>} */ ({ wrong: "Wrong", doubtful: "In doubt", note: "Worth a look" });
const TIMES = 3;

const preview = () => working(busy, "Setting the handout…", async () => {
  for (const old of pages.value) URL.revokeObjectURL(old);
  pages.value = [];
  const { path } = lesson.value;
  const page = await api.bytes("preview", { path });
  pagesOf = path;
  pages.value = [URL.createObjectURL(new Blob([page], { type: "application/pdf" }))];
});

/** @param {boolean} anyway */
const build = (anyway) => api.post("build", { path: lesson.value.path, anyway, ...buildWith.value })
  .then(({ job }) => { if (built.value?.id !== job.id) heardJob({ kind: "job", job }); }).catch(tell);

/** @param {string} path */
async function openResult(path) {
  try {
    const { address } = await api.post("ticket", { id: built.value?.id, path });
    window.open(address, "_blank", "noopener");
  } catch (error) {
    tell(error);
  }
}

/** @param {number} seconds */
const clock = (seconds) => `${Math.floor(Math.round(seconds) / 60)}:${String(Math.round(seconds) % 60).padStart(2, "0")}`;

/** Where in the take a finding is heard. @param {{times: number[]}} props */
function Times({ times }) {
  const { take } = proved.value.with;
  return times.slice(0, TIMES).map((time) => html`<button type="button" class="quiet" aria-label=${`Hear it in the take at ${clock(time)}`}
    onClick=${() => go({ view: "listen", at: take, from: String(time) })}>at ${clock(time)}</button>`);
}

function Findings() {
  const { findings, with: beside, path } = proved.value;
  if (path !== lesson.value.path) return null;
  const names = Object.values(beside).join(", ");
  return html`${names ? html`<p class="quiet-word">With ${names}</p>` : null}
    ${findings.length ? null : html`<p>Nothing to put right, as far as the proof can tell.</p>`}
    <ul class="findings">${findings.map((finding) => html`<li class=${finding.severity}>
    <span class="places"><button type="button" class="quiet" onClick=${() => jump(finding.line)}><strong>${WORDS[finding.severity] ?? finding.severity}</strong> line ${finding.line}</button><${Times} times=${finding.times_s} /></span>
    <span>${finding.message} ${finding.suggestion ? html`<em>${finding.suggestion}</em>` : null}</span></li>`)}</ul>`;
}

function Build() {
  const now = built.value;
  if (!now || (now.state !== "running" && now.path !== lesson.value.path)) return null;
  const words = now.state === "running" ? `Building: ${now.stage}` : now.state === "done" ? "The pack is ready." : now.message ?? now.state;
  return html`<section class="job"><div class="busy"><p role="status" tabindex="-1">${words}</p>${now.state === "running" ? html`<${Going} key=${now.id} id=${now.id} name="Progress of the build" />` : null}</div>
    <ul class="products">${(now.result?.products ?? []).map((/** @type {any} */ row) => html`<li><button type="button" class="quiet" onClick=${() => openResult(row.path)}>${row.path}</button> <span class="share">${(row.bytes / 1000).toFixed(0)} kB</span></li>`)}</ul></section>`;
}

export function PublishView() {
  useEffect(() => { if (lesson.value) prove(); }, [lesson.value?.path, lesson.value?.sha256]);
  if (!lesson.value) return html`<${Folder} />`;
  const wrong = proved.value.findings.some((finding) => finding.severity === "wrong");
  const more = Object.keys(proofWith.value).length > 0;
  return html`<section class="publish-view" aria-label="Proof and publish"><h1>${lesson.value.title}</h1><${Files} />
    <div class="two"><div><h2>Proof</h2>
      ${more ? html`<div class="actions"><button type="button" class="quiet" disabled=${proving.value.id !== ""} onClick=${proveWith}>Prove it with these too</button></div><${Busy} of=${proving} />` : null}<${Findings} /></div><div><h2>Pack</h2>
      <div class="actions"><button type="button" disabled=${built.value?.state === "running"} onClick=${() => build(false)}>Build the pack</button>
        ${wrong ? html`<button type="button" class="quiet" onClick=${() => build(true)}>Build it anyway</button>` : null}
        <button type="button" class="quiet" onClick=${preview}>Show the handout</button></div><${Look} />
      <${Busy} of=${busy} /><${Build} />${(pagesOf === lesson.value.path ? pages.value : []).map((page) => html`<iframe class="page" title="Handout" src=${page}></iframe><p><a href=${page} target="_blank" rel="noopener">The handout in a window of its own</a></p>`)}
      <p class="caution">A song that is not yours needs the leave of those who own it, where the law asks for it. Publish what you may.</p></div></div></section>`;
}
