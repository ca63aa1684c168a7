// The facts of a lesson as a form: each field is one edit of the front matter.
import { html } from "./html.js";
import { intend } from "./edits.js";
import { lesson } from "./state.js";

const FIELDS = [["title", "Title"], ["tempo", "Tempo"], ["metre", "Metre"], ["key", "Key"], ["tuning", "Tuning"], ["capo", "Capo"], ["hand", "Right hand"]];

export function Facts() {
  const facts = lesson.value?.facts ?? {};
  return html`<details class="facts"><summary>Tempo, metre, key, tuning</summary><div class="facts-form">${FIELDS.map(([field, name]) => html`
    <label>${name}<input value=${facts[field] ?? ""} spellcheck="false" onChange=${(/** @type {any} */ e) => { void intend("set_front", { field, value: e.currentTarget.value }); }} /></label>`)}</div></details>`;
}
