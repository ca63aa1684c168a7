// Ask the other way: a symbol in, playable grips out, easiest first.
import { signal } from "../vendor/signals.js";
import * as api from "../api.js";
import { Drawing } from "../drawing.js";
import { html } from "../html.js";
import { capo, openMidi, showGrip, tuning } from "../state.js";
import { strum } from "../sound.js";
import { place } from "../url.js";
import { putGrip } from "../edits.js";

const wanted = signal("");
const filters = signal(/** @type {Record<string, string>} */ ({}));
const answer = signal(/** @type {{count: number, grips: any[]} | null} */ (null));
const problem = signal("");

async function search() {
  const symbol = wanted.value.trim();
  if (!symbol) {
    answer.value = null;
    problem.value = "";
    return;
  }
  try {
    const given = Object.fromEntries(Object.entries(filters.value).filter(([, value]) => value !== ""));
    const levels = given.level ? { level: Number(given.level) } : {};
    answer.value = await api.post("grips", { symbol, tuning: tuning.value, capo: capo.value, ...given, ...levels });
    problem.value = "";
  } catch (error) {
    answer.value = null;
    problem.value = error instanceof api.Refusal ? [error.message, error.remedy].filter(Boolean).join("; ") : String(error);
  }
}

/** @param {string} name @param {string} value */
function filter(name, value) {
  filters.value = { ...filters.value, [name]: value };
  void search();
}

/** @param {any} found */
function hear(found) {
  showGrip(found.grip);
  strum(found.tones.map((/** @type {any} */ tone) => tone.midi ?? openMidi.value[openMidi.value.length - tone.string] + tone.fret));
}

/** @param {{found: any}} props */
function Found({ found }) {
  const level = ["easy", "fair", "demanding", "hard"][Math.min(3, Math.floor(found.effort * 4))];
  return html`<li><button type="button" class="found" onClick=${() => hear(found)}>
    ${found.svg ? html`<${Drawing} svg=${found.svg} />` : null}
    <span class="grip-text">${found.grip}</span><span class="share">${level}</span><span class="spoken">${found.words ?? ""}</span></button>
    ${place.value.lesson ? html`<button type="button" class="quiet" onClick=${() => putGrip(wanted.value.trim(), found.grip)}>Into the chart</button>` : null}</li>`;
}

export function Ask() {
  return html`<section class="ask" aria-label="Grips for a symbol">
    <form onSubmit=${(/** @type {Event} */ e) => { e.preventDefault(); void search(); }}>
      <label>Grips for <input class="symbol-text" placeholder="Cmaj7" spellcheck="false" autocomplete="off" value=${wanted.value}
        onInput=${(/** @type {any} */ e) => { wanted.value = e.currentTarget.value; }} /></label>
      <button type="submit">Find</button>
      <label>Top note <input class="small" spellcheck="false" onChange=${(/** @type {any} */ e) => filter("top", e.currentTarget.value.trim())} /></label>
      <label>Bass <input class="small" spellcheck="false" onChange=${(/** @type {any} */ e) => filter("bass", e.currentTarget.value.trim())} /></label>
      <label>Frets <input class="small" placeholder="0-12" onChange=${(/** @type {any} */ e) => filter("frets", e.currentTarget.value.trim())} /></label>
      <label>Level <select onChange=${(/** @type {any} */ e) => filter("level", e.currentTarget.value)}><option value="">any</option>${[1, 2, 3, 4, 5].map((level) => html`<option>${level}</option>`)}</select></label>
    </form>
    <p role="status" class=${problem.value ? "problem" : "quiet-word"}>${problem.value || (answer.value ? `${answer.value.count} grips in all; these differ in what a player notices` : "")}</p>
    <ul class="found-list">${(answer.value?.grips ?? []).slice(0, 24).map((found) => html`<${Found} found=${found} />`)}</ul>
  </section>`;
}
