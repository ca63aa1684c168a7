// The frame: title, six views, what the bench has to say.
import { html } from "./html.js";
import { lesson, lessons, notice } from "./state.js";
import { go, place } from "./url.js";
import { Away, Quarrels } from "./views/waiting.js";

const NAMES = /** @type {Record<string, string>} */ ({ grip: "Grip", changes: "Changes", arrange: "Arrange", listen: "Listen", publish: "Publish", shelf: "Shelf" });

/** The row of views; digits 1 to 6 with Alt go there. */
function Views() {
  return html`<nav class="views" aria-label="Views">${Object.entries(NAMES).map(([view, name], index) => html`
    <a href=${`?view=${view}`} aria-current=${place.value.view === view ? "page" : null} accesskey=${index + 1}
      onClick=${(/** @type {MouseEvent} */ e) => { e.preventDefault(); go({ view }); }}>${name}</a>`)}</nav>`;
}

function Lessons() {
  return html`<select class="lessons" aria-label="Lesson" value=${place.value.lesson}
    onChange=${(/** @type {any} */ e) => go({ lesson: e.currentTarget.value, at: "", from: "" })}>
    <option value="">No lesson open</option>
    ${lessons.value.map(({ path, title }) => html`<option value=${path} selected=${path === place.value.lesson}>${title}</option>`)}
  </select>`;
}

function Notice() {
  const said = notice.value;
  return html`<div class="notices"><div class="notice-place" role="status" aria-live="polite">${said ? html`<p class=${`notice ${said.tone}`}>
    <span>${said.text}${said.remedy ? html`; <em>${said.remedy}</em>` : null}</span>
    <button type="button" onClick=${() => { notice.value = null; }} aria-label="Close this message">Close</button></p>` : null}
    <${Away} /></div><${Quarrels} /></div>`;
}

/** @param {{children: any}} props */
export function Shell({ children }) {
  return html`<header class="top">
      <a class="skip" href="#desk">Skip to the desk</a>
      <strong class="house">Gripwright</strong><${Lessons} /><${Views} />
    </header><${Notice} />
    <main id="desk" tabindex="-1" aria-busy=${lesson.value === null && place.value.lesson !== ""}>${children}</main>`;
}
