// What the grip is called: best reading large, the others with their reasons.
import { signal } from "../vendor/signals.js";
import * as api from "../api.js";
import { html } from "../html.js";
import { pretty } from "../music.js";
import { readings } from "../naming.js";
import { capo, frets, grip, openMidi, tuning } from "../state.js";

/** @typedef {import("../state.js").Reading} Reading */

export const named = signal(/** @type {{grip: string, readings: Reading[], hold?: {words: string, trouble: string}} | null} */ (null));
export const chosen = signal(0);
export const tones = signal(/** @type {any[]} */ ([]));
const trouble = signal("");
/** @type {import("../naming.js").Table | null} */
let table = null;
let asked = 0;

/** Fetch the naming table, once. */
export async function loadTable() {
  table = await (await fetch("/tables/naming.json")).json();
}

/** Name the grip on the neck at once; the reasons follow, and never those of an older grip. */
export async function nameNow() {
  const mine = ++asked;
  const count = frets.value.length;
  const sounds = frets.value.flatMap((fret, index) => (fret === null ? [] : [{ string: count - index, fret, midi: openMidi.value[index] + fret }]));
  if (sounds.length < 2) {
    show(null, "");
    return;
  }
  if (table) show({ grip: grip.value, readings: readings(table, sounds, reEntrant(openMidi.value)) }, "");
  try {
    const answer = await api.post("name", { grip: grip.value, tuning: tuning.value, capo: capo.value });
    if (mine !== asked) return;
    const kept = chosen.value;
    show(answer, "");
    choose(Math.min(kept, answer.readings.length - 1));
  } catch (error) {
    if (!(error instanceof api.Refusal)) throw error;
    if (mine === asked) show(null, [error.message, error.remedy].filter(Boolean).join("; "));
  }
}

/** Whether some string is tuned below the one on its bass side. @param {number[]} opens */
const reEntrant = (opens) => opens.some((midi, index) => index > 0 && opens[index - 1] > midi);

/** @param {any} answer @param {string} problem */
function show(answer, problem) {
  named.value = answer;
  trouble.value = problem;
  choose(0);
}

/** @param {number} index */
function choose(index) {
  chosen.value = index;
  tones.value = named.value?.readings[index]?.tones ?? [];
}

/** A symbol set as it is printed: root full, quality raised. @param {{reading: Reading}} props */
export function Symbol({ reading }) {
  if (reading.quality === "cluster") return html`<span class="symbol">cluster</span>`;
  const runs = reading.runs ?? [{ text: pretty(reading.symbol), raised: false }];
  return html`<span class="symbol"><span class="spoken">${spoken(reading.symbol)}</span>${runs.map((run) => (run.raised ? html`<sup aria-hidden="true">${run.text}</sup>` : html`<span aria-hidden="true">${run.text}</span>`))}</span>`;
}

/** A symbol as it is said. @param {string} symbol */
export const spoken = (symbol) => symbol.replace(/^([A-G])b/, "$1 flat ").replace(/^([A-G])#/, "$1 sharp ").replace(/\/([A-G])b/, " over $1 flat").replace(/\/([A-G])#/, " over $1 sharp")
  .replace(/\/([A-G])$/, " over $1").replace(/b(\d)/g, " flat $1").replace(/#(\d)/g, " sharp $1");

export function Readings() {
  const readings = named.value?.readings ?? [];
  const best = readings[chosen.value];
  if (!best) {
    return html`<div class="reading empty"><p class="symbol-place">${trouble.value ? html`<span class="wrong-words">${trouble.value}</span>` : "Put down two notes or more"}</p></div>`;
  }
  return html`<div class="reading" aria-live="polite">
    <p class="symbol-place"><${Symbol} reading=${best} /></p>
    <ul class="why">${best.why.map((line) => html`<li>${pretty(line)}</li>`)}</ul>
    ${readings.length > 1 ? html`<div class="others" role="group" aria-label="Readings">${readings.slice(0, 6).map((reading, index) => html`
      <button type="button" class="other" aria-pressed=${index === chosen.value} onClick=${() => choose(index)}>
        <${Symbol} reading=${reading} /><span class="share">${share(reading.weight)}</span></button>`)}</div>` : null}
  </div>`;
}

/** How strongly a reading is meant, in words rather than false precision. @param {number} weight */
function share(weight) {
  if (weight > 0.75) return "clearly";
  if (weight > 0.4) return "most likely";
  return weight > 0.15 ? "also heard" : "at a stretch";
}
