// The facts of a lesson as a form: each field is one edit of the front matter.
import { useEffect, useRef } from "./vendor/hooks.js";
import { html } from "./html.js";
import { intend } from "./edits.js";
import { lesson } from "./state.js";

const FIELDS = [["title", "Title"], ["tempo", "Tempo"], ["metre", "Metre"], ["key", "Key"], ["tuning", "Tuning"], ["capo", "Capo"], ["hand", "Right hand"]];

/** A field that is only written over when its fact changes: typing in it is safe. @param {{field: string, name: string, value: string}} props */
function Fact({ field, name, value }) {
  const node = useRef(/** @type {HTMLInputElement | null} */ (null));
  useEffect(() => { if (node.current) node.current.value = value; }, [value]);
  return html`<label>${name}<input ref=${node} spellcheck="false" onChange=${(/** @type {any} */ e) => { void intend("set_front", { field, value: e.currentTarget.value }); }} /></label>`;
}

export function Facts() {
  const facts = lesson.value?.facts ?? {};
  return html`<details class="facts"><summary>Tempo, metre, key, tuning</summary><div class="facts-form">${FIELDS.map(([field, name]) => html`<${Fact} field=${field} name=${name} value=${facts[field] ?? ""} />`)}</div></details>`;
}
