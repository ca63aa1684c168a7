// The waveform under the hand: choose a span, move a chord of a synced take.
import { useEffect, useRef } from "../vendor/hooks.js";
import { html } from "../html.js";
import { at, correct, events, loaded, span } from "../listening.js";
import { follow } from "../pointer.js";
import { drawWave, eventAt, spanAt } from "../wave.js";

export function Wave() {
  const canvas = useRef(/** @type {HTMLCanvasElement | null} */ (null));
  const take = loaded.value;
  useEffect(() => { if (canvas.current && take) drawWave(canvas.current, take.peaks, take.seconds, span.value, events.value); }, [take, span.value, events.value]);
  if (!take) return null;
  /** @param {any} e */
  const down = (e) => {
    if (e.button !== 0) return;
    const node = e.currentTarget;
    const second = (/** @type {PointerEvent} */ now) => spanAt(node, now.clientX, take.seconds);
    const held = events.value[0]?.movable ? eventAt(node, e.clientX, take.seconds, events.value) : -1;
    const [from, wasSpan, wasEvents] = [second(e), span.value, events.value];
    follow(e, {
      move(now) {
        const here = second(now);
        if (held >= 0) events.value = wasEvents.map((event, index) => (index === held ? { ...event, start_s: here } : event));
        else span.value = { from: Math.min(from, here), to: Math.max(from, here) };
      },
      done() {
        if (held >= 0 && events.value !== wasEvents) void correct(held, events.value[held].start_s);
        else if (held < 0 && (span.value === wasSpan || span.value.to - span.value.from < 0.05)) span.value = { from: 0, to: take.seconds };
      },
      cancel() { [span.value, events.value] = [wasSpan, wasEvents]; },
    });
  };
  return html`<canvas class="wave" ref=${canvas} role="img" aria-label=${`Sound of ${take.name}, ${take.seconds.toFixed(1)} seconds, ${events.value.length} chords laid over it`}
    onPointerDown=${down}></canvas>`;
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
