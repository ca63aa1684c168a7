// Arrange: the best chain of grips, an easier version, another tuning; before and after.
import { useEffect } from "../vendor/hooks.js";
import { signal } from "../vendor/signals.js";
import { intend } from "../edits.js";
import { html } from "../html.js";
import { longWork, nothing } from "../jobs.js";
import { pretty } from "../music.js";
import { aboutLesson, lesson, setTuning, showGrip, sounding } from "../state.js";
import { strum } from "../sound.js";
import { Busy } from "./busy.js";
import { Folder } from "./folder.js";

const level = signal("");
const aim = signal("total");
const keep = signal(true);
const asked = signal({});
const answer = signal(/** @type {any} */ (null));
const tunings = signal(/** @type {any} */ (null));
const busy = nothing();

const arrange = () => longWork(busy, "Trying every chain of grips…", async (job) => {
  asked.value = { aim: aim.value, keep: keep.value, ...(level.value ? { level: Number(level.value) } : {}) };
  answer.value = await aboutLesson("arrange", { ...asked.value, job });
});

const compare = () => longWork(busy, "Trying the song in other tunings…", async (job) => {
  tunings.value = await aboutLesson("tunings", { job });
});

/** @param {string} text */
function hear(text) {
  if (!text) return;
  showGrip(text);
  strum(sounding.value);
}

function Chain() {
  const found = answer.value;
  if (!found) return html`<p class="invite">Every playable chain of grips through this song is weighed, and the best one stands here beside yours: hear both, see what the hand does at each change. Nothing is written before you say so.</p>`;
  return html`<section aria-label="Before and after"><div class="actions"><button type="button" onClick=${() => { void intend("take_arrangement", asked.value); }}>Write these grips into the chart</button>
      <button type="button" class="quiet" onClick=${() => { answer.value = null; }}>Leave the chart as it is</button></div><table class="chain moves"><thead><tr><th>Chord</th><th>Now</th><th>Arranged</th><th>What the hand does</th></tr></thead>
    <tbody>${found.chords.map((/** @type {any} */ row, /** @type {number} */ index) => html`<tr>
      <th scope="row">${pretty(row.symbol)}</th>
      <td>${row.before ? html`<button type="button" class="quiet grip-text" onClick=${() => hear(row.before)}>${row.before}</button>` : "no grip"}</td>
      <td><button type="button" class="quiet grip-text" onClick=${() => hear(row.grip)}>${row.grip}</button></td>
      <td class="quiet-word words">${found.moves?.[index - 1]?.words ?? ""}</td></tr>`)}</tbody></table>
    ${(found.lost ?? []).length ? html`<h3>What it loses</h3><ul>${found.lost.map((/** @type {any} */ lost) => html`<li><strong>${pretty(lost.symbol)}</strong> ${pretty(lost.text)}</li>`)}</ul>` : null}</section>`;
}

function Tunings() {
  const found = tunings.value;
  if (!found) return null;
  return html`<section aria-label="Tunings"><h3>Other tunings and capos</h3><table class="chain"><thead><tr><th>Tuning</th><th>Capo</th><th>Effort</th><th>Cannot be reached</th></tr></thead>
    <tbody>${found.tunings.slice(0, 12).map((/** @type {any} */ row) => html`<tr><th scope="row"><button type="button" class="quiet grip-text" onClick=${() => setTuning(row.tuning)}>${row.tuning}</button></th>
      <td>${row.capo === null ? `partial: ${row.stops.join(" ")}` : row.capo || "none"}</td><td>${typeof row.effort === "number" ? row.effort.toFixed(2) : ""}</td><td>${row.unreached.length || "nothing"}</td></tr>`)}</tbody></table></section>`;
}

let shownFor = "";

/** An answer is about one song: another lesson starts afresh. */
function startAfresh() {
  const path = lesson.value?.path ?? "";
  if (path !== shownFor) [answer.value, tunings.value] = [null, null];
  shownFor = path;
}

export function ArrangeView() {
  useEffect(startAfresh, [lesson.value?.path]);
  if (!lesson.value) return html`<${Folder} />`;
  return html`<section class="arrange-view" aria-label="Arrange"><h1>${lesson.value.title}</h1>
    <form onSubmit=${(/** @type {Event} */ e) => { e.preventDefault(); void arrange(); }}>
      <label>For a player of level <select value=${level.value} onChange=${(/** @type {any} */ e) => { level.value = e.currentTarget.value; }}>
        <option value="">any</option><option value="1">1, first month</option><option value="2">2</option><option value="3">3</option><option value="4">4</option><option value="5">5, all of it</option></select></label>
      <label>Aim <select value=${aim.value} onChange=${(/** @type {any} */ e) => { aim.value = e.currentTarget.value; }}>
        <option value="total">least effort in all</option><option value="worst">no moment too hard</option></select></label>
      <label class="check"><input type="checkbox" checked=${keep.value} onChange=${(/** @type {any} */ e) => { keep.value = e.currentTarget.checked; }} /> My own grips stay</label>
      <button type="submit" disabled=${busy.value.id !== ""}>Find the best chain</button><button type="button" class="quiet" disabled=${busy.value.id !== ""} onClick=${compare}>Compare tunings</button></form>
    <${Busy} of=${busy} /><${Chain} /><${Tunings} />
    <p class="caution">Warm up first, rest often, and stop if it hurts. For pain that lasts, see a clinician.</p></section>`;
}
