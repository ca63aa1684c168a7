// The waveform under the hand: choose a span, move a chord of a synced take.
import { useEffect, useRef } from "../vendor/hooks.js";
import { html } from "../html.js";
import { at, correct, events, loaded, span } from "../listening.js";
import { drawWave, eventAt, spanAt } from "../wave.js";

export function Wave() {
  const canvas = useRef(/** @type {HTMLCanvasElement | null} */ (null));
  const drag = useRef(/** @type {{from: number, event: number} | null} */ (null));
  const take = loaded.value;
  useEffect(() => { if (canvas.current && take) drawWave(canvas.current, take.peaks, take.seconds, span.value, events.value); }, [take, span.value, events.value]);
  if (!take) return null;
  /** @param {any} e */
  const down = (e) => {
    const movable = events.value[0]?.movable ? eventAt(e.currentTarget, e.clientX, take.seconds, events.value) : -1;
    drag.current = { from: spanAt(e.currentTarget, e.clientX, take.seconds), event: movable };
    e.currentTarget.setPointerCapture(e.pointerId);
  };
  /** @param {any} e */
  const move = (e) => {
    const held = drag.current;
    if (!held) return;
    const here = spanAt(e.currentTarget, e.clientX, take.seconds);
    if (held.event >= 0) events.value = events.value.map((event, index) => (index === held.event ? { ...event, start_s: here } : event));
    else span.value = { from: Math.min(held.from, here), to: Math.max(held.from, here) };
  };
  const up = () => {
    const held = drag.current;
    drag.current = null;
    if (held && held.event >= 0) void correct(held.event, events.value[held.event].start_s);
    else if (span.value.to - span.value.from < 0.05) span.value = { from: 0, to: take.seconds };
  };
  return html`<canvas class="wave" ref=${canvas} role="img" aria-label=${`Sound of ${take.name}, ${take.seconds.toFixed(1)} seconds, ${events.value.length} chords laid over it`}
    onPointerDown=${down} onPointerMove=${move} onPointerUp=${up}></canvas>`;
}

/** The chord of the moment and the one that waits, while a followed take plays. */
export function Now() {
  const here = events.value[at.value];
  if (!here) return null;
  const next = events.value[at.value + 1];
  return html`<p class="now" aria-hidden="true"><strong>${here.label}</strong> <span class="grip-text">${here.grip ?? ""}</span>${next ? html`<span class="quiet-word">next ${next.label}</span>` : null}</p>`;
}

/** The chords of a synced take as a table, so that keys can do what dragging does. */
export function Events() {
  if (!events.value[0]?.movable) return null;
  return html`<details class="events"><summary>Chords in the take: ${events.value.length}</summary><table class="chain"><thead><tr><th>Chord</th><th>Starts at, seconds</th><th></th></tr></thead>
    <tbody>${events.value.map((event, index) => html`<tr><th scope="row">${event.label}</th><td><input class="small" type="number" step="0.01" aria-label=${`Start of ${event.label}, number ${index + 1}`} value=${event.start_s.toFixed(2)}
      onChange=${(/** @type {any} */ e) => correct(index, Number(e.currentTarget.value))} /></td><td class="quiet-word">${event.byHand ? "set by hand" : ""}</td></tr>`)}</tbody></table></details>`;
}
