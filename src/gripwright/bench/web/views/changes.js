// Build the changes: chart, harmony and threads redraw as one types; the lesson's text beside.
import { useEffect } from "../vendor/hooks.js";
import { signal } from "../vendor/signals.js";
import { Chart } from "../chart.js";
import { fieldIs } from "../draft.js";
import { Facts } from "../facts.js";
import { html } from "../html.js";
import { jump } from "../jump.js";
import { pretty } from "../music.js";
import { stopPlaying } from "../player.js";
import { aboutLesson, lesson, selected } from "../state.js";
import { place } from "../url.js";
import { Folder } from "./folder.js";

const harmony = signal(/** @type {any} */ (null));
let asked = 0;

/** Ask again when the chart has changed; an older answer never overwrites a newer one. */
async function explain() {
  const open = lesson.value;
  const mine = ++asked;
  if (!open?.parts.length) {
    harmony.value = null;
    return;
  }
  try {
    const answer = await aboutLesson("explain");
    if (!answer) return;
    const byPlace = new Map(answer.places.map((/** @type {number[]} */ place, /** @type {number} */ index) => [place.join("-"), index]));
    if (mine === asked) harmony.value = { ...answer, byPlace };
  } catch (error) {
    if (mine === asked) harmony.value = { problem: error instanceof Error ? error.message : String(error) };
  }
}

function Problems() {
  const problems = lesson.value?.problems ?? [];
  if (!problems.length) return null;
  return html`<section class="problems" aria-label="What is wrong"><h3>To put right</h3><ul>${problems.map((/** @type {any} */ problem) => html`
    <li><button type="button" class="quiet line" onClick=${() => jump(problem.line)}>Line ${problem.line}, column ${problem.column}</button> <span>${problem.message}${problem.suggestion ? html`; <em>${problem.suggestion}</em>` : null}</span></li>`)}</ul></section>`;
}

function Harmony() {
  const told = harmony.value;
  if (!told) return html`<p class="empty">No chords yet: the harmony appears as you write.</p>`;
  if (told.problem) return html`<p class="problem">${told.problem}</p>`;
  const at = selected.value;
  const index = at ? told.byPlace.get(`${at.part}-${at.bar}-${at.event}`) : undefined;
  const chord = told.chords[index ?? -1];
  const wrong = at ? lesson.value.parts[at.part]?.bars[at.bar]?.events[at.event]?.wrong : null;
  const threads = told.threads.filter((/** @type {any} */ thread) => thread.from === index && thread.kind !== "common tone").slice(0, 5);
  return html`<div class=${`harmony ${chord ? "chosen" : ""}`} aria-live="polite">
    <button type="button" class="quiet put-away" onClick=${() => { selected.value = null; }}>Put away</button>
    <p class="keys">${told.keys.map((/** @type {any} */ key) => html`<span class="key">${pretty(key.key)}</span>`)}</p>
    ${wrong ? html`<p class="problem">${wrong}</p>` : null}
    ${chord ? html`<p><strong>${pretty(chord.symbol)}</strong>: ${pretty(chord.numeral ?? "")}${chord.function ? `, ${chord.function}` : ""} in ${pretty(chord.key ?? "")}</p>
      <ul>${(chord.remarks ?? []).map((/** @type {any} */ remark) => html`<li>${pretty(remark)}</li>`)}</ul>
      ${chord.scales?.length ? html`<p class="quiet-word">Scales it may carry: ${chord.scales.map(pretty).join(", ")}</p>` : null}
      <ul class="threads">${threads.map((/** @type {any} */ thread) => html`<li>${thread.text}</li>`)}</ul>` : html`<p class="quiet-word">Choose a chord to see what it does.</p>`}
  </div>`;
}

/** The lesson as it stands on disk: prose and music in one text. */
function Text() {
  return html`<label class="lesson-text">The lesson's text<textarea spellcheck="true" ref=${fieldIs}></textarea></label>`;
}

export function ChangesView() {
  useEffect(() => stopPlaying, [place.value.lesson]);
  useEffect(() => { void explain(); }, [lesson.value?.sha256]);
  if (!lesson.value) return html`<${Folder} />`;
  return html`<section class="changes-view" aria-label="Build the changes"><h1>${lesson.value.title}</h1>
    <div class="two"><div><${Chart} harmony=${harmony.value} /><${Problems} /></div>
      <aside><${Harmony} /><${Facts} /><${Text} /></aside></div></section>`;
}
