// What is not in the file yet: the bench is away, or the file was changed elsewhere.
import { dirty } from "../draft.js";
import { saving } from "../edits.js";
import { html } from "../html.js";
import { apart, release, waiting } from "../kept.js";
import { link } from "../link.js";
import { makeIt, sides } from "../replay.js";
import { lesson } from "../state.js";
import { go } from "../url.js";

/** Whether all that was done in this window is in the file. */
const unsaved = () => dirty.value || saving.value || waiting.value.length > 0;

/** Closing the window asks first while something is not written. */
export function startWarning() {
  addEventListener("beforeunload", (event) => { if (unsaved() || apart.value.length) event.preventDefault(); });
}

/** One line beside undo and redo: is it in the file? */
export function Saved() {
  const away = waiting.value.length > 0 || (dirty.value && link.value !== "up");
  return html`<span class=${`saved ${away ? "away" : ""}`}>${away ? "Not saved yet: kept in this window" : unsaved() ? "Saving…" : "Saved"}</span>`;
}

const REASONS = {
  down: html`The bench does not answer. Start it again with <code>gripwright bench</code>; this page goes on by itself once the address that it prints is open.`,
  stranger: html`The bench was started again. Open the address that it printed, in any tab of this browser, and this page goes on by itself.`,
  up: html`The bench is coming back.`,
};

/** What waits for the bench. */
export function Away() {
  const count = waiting.value.length;
  const typing = dirty.value && !waiting.value.some((one) => one.call === "edit");
  if (link.value === "up" && !count) return null;
  const held = count + (typing ? 1 : 0);
  return html`<div class="notice wrong away-notice"><div><p><strong>${held ? "Not saved" : "The bench has stopped"}.</strong> ${REASONS[link.value]}
      ${held ? (held === 1 ? " One change is kept in this window:" : ` ${held} changes are kept in this window:`) : " All that was done is in the file; what you do now is kept in this window."}</p>
    ${held ? html`<ul>${waiting.value.map((one) => html`<li>${one.words}${one.path === lesson.value?.path ? "" : `, in ${one.path}`}</li>`)}${typing ? html`<li>words of the lesson's text</li>` : null}</ul>` : null}</div></div>`;
}

/** @param {{change: import("../kept.js").Kept}} props */
function Quarrel({ change }) {
  const both = sides(change);
  const here = lesson.value?.path === change.path;
  return html`<div class="notice wrong quarrel" role="alert"><div><p><strong>Changed elsewhere.</strong> ${here ? "This lesson" : change.path} was changed elsewhere before your change was written. The file is shown as it is now.</p>
    <dl><dt>Your change</dt><dd>${both ? html`<pre tabindex="0">${both.words || "(taken out)"}</pre>` : change.words}</dd>
      ${both && !both.clean ? html`<dt>The file says there</dt><dd><pre tabindex="0">${both.file || "(nothing)"}</pre></dd>` : null}</dl></div>
    <div class="actions">${here ? html`<button type="button" onClick=${() => makeIt(change)}>${both && !both.clean ? "Put mine in its place" : "Make my change here too"}</button>`
    : html`<button type="button" onClick=${() => go({ lesson: change.path, view: "changes" })}>Open it</button>`}
      <button type="button" class="quiet" onClick=${() => release(change.id)}>Leave it as it is</button></div></div>`;
}

/** Changes on which the window and the file do not agree: both are offered. */
export function Quarrels() {
  return apart.value.map((change) => html`<${Quarrel} key=${change.id} change=${change} />`);
}
