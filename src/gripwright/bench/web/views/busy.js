// What a view waits for: words, how far it is, and a way out.
import { useEffect } from "../vendor/hooks.js";
import { html } from "../html.js";
import { cancel, jobs, leaving } from "../jobs.js";
import { typing } from "../keys.js";

/** How far a job is; a button and Escape cancel it. @param {{id: string, name: string}} props */
export function Going({ id, name }) {
  const job = jobs.value.find((one) => one.id === id);
  useEffect(() => {
    /** @param {KeyboardEvent} e */
    const onKey = (e) => {
      if (e.key !== "Escape" || e.defaultPrevented || typing(e.target)) return;
      e.preventDefault();
      cancel(id);
    };
    addEventListener("keydown", onKey);
    return () => removeEventListener("keydown", onKey);
  }, [id]);
  return html`<progress max="1" value=${job?.done ? job.done / (job.total || 1) : undefined} aria-label=${name}></progress>
    <button type="button" class="quiet" aria-keyshortcuts="Escape" onClick=${(/** @type {any} */ e) => {
      e.currentTarget.closest(".busy")?.querySelector("[role=status]")?.focus();
      cancel(id);
    }}>${leaving.value === id ? "Cancelling…" : "Cancel"}</button>`;
}

/** The line of a view that says what it waits for. @param {{of: import("../vendor/signals.js").Signal<import("../jobs.js").Waiting>}} props */
export function Busy({ of }) {
  const { words, id } = of.value;
  return html`<div class="busy"><p role="status" tabindex="-1" class="quiet-word">${words}</p>${id ? html`<${Going} key=${id} id=${id} name=${words} />` : null}</div>`;
}
