// Build the changes: chart, harmony and threads redraw as one types; the lesson's text beside.
import { useEffect } from "../vendor/hooks.js";
import { signal } from "../vendor/signals.js";
import * as api from "../api.js";
import { Chart } from "../chart.js";
import { conflict, difference, edit, forget } from "../edits.js";
import { Facts } from "../facts.js";
import { html } from "../html.js";
import { pretty } from "../music.js";
import { stopPlaying } from "../player.js";
import { lesson, selected, tell } from "../state.js";
import { place } from "../url.js";
import { Shelf } from "./folder.js";

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
    const answer = await api.post("explain", { path: open.path });
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
    <li><span class="line">line ${problem.line}, column ${problem.column}</span> ${problem.message} <em>${problem.suggestion ?? ""}</em></li>`)}</ul></section>`;
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
  return html`<div class="harmony" aria-live="polite">
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
  const open = lesson.value;
  /** @param {any} e */
  const keep = (e) => {
    const patch = difference(open.text, e.currentTarget.value);
    if (patch) void edit(patch);
  };
  let waiting = 0;
  /** @param {any} e */
  const later = (e) => {
    clearTimeout(waiting);
    const area = e.currentTarget;
    waiting = setTimeout(() => keep({ currentTarget: area }), 350);
  };
  return html`<label class="lesson-text">The lesson's text<textarea spellcheck="true" value=${open.text} onInput=${later} onBlur=${keep}></textarea></label>`;
}

function Conflict() {
  if (!conflict.value) return null;
  return html`<div class="notice wrong" role="alert"><span>This lesson was changed elsewhere while you were writing. What is shown is the file as it is now.</span>
    <button type="button" onClick=${() => { conflict.value?.again().catch(tell); }}>Make my change here too</button>
    <button type="button" class="quiet" onClick=${() => { conflict.value = null; }}>Leave it as it is</button></div>`;
}

export function ChangesView() {
  useEffect(() => { forget(); return stopPlaying; }, [place.value.lesson]);
  useEffect(() => { void explain(); }, [lesson.value?.sha256]);
  if (!lesson.value) return html`<${Shelf} />`;
  return html`<section class="changes-view" aria-label="Build the changes"><h1>${lesson.value.title}</h1><${Conflict} />
    <div class="two"><div><${Chart} harmony=${harmony.value} /><${Problems} /></div>
      <aside><${Harmony} /><${Facts} /><${Text} /></aside></div></section>`;
}
