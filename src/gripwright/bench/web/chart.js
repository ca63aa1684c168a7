// The chart: bars aligned four to a line, every chord reachable by mouse, finger and keys.
import { useEffect, useRef } from "./vendor/hooks.js";
import { carried, CarriedChord, press } from "./carry.js";
import { onKey, togglePlaying, writing } from "./chart_keys.js";
import { html } from "./html.js";
import { depth, intend, redo, undo } from "./edits.js";
import { pretty } from "./music.js";
import { land, same, select } from "./places.js";
import { now, playing } from "./player.js";
import { lesson, selected } from "./state.js";
import { waitingWords } from "./kept.js";
import { Symbol } from "./views/readings.js";
import { Saved } from "./views/waiting.js";

/** @param {{at: any}} props */
function Writing({ at }) {
  /** @param {any} e */
  const keep = (e) => {
    const text = e.currentTarget.value.trim();
    if (writing.value !== null && text) void intend("set_chord", { ...at, writing: text });
    writing.value = null;
  };
  return html`<input class="chord-writing" aria-label="Chord or grip" spellcheck="false" value=${writing.value}
    ref=${(/** @type {HTMLInputElement | null} */ node) => { if (node && document.activeElement !== node) node.focus(); }}
    onInput=${(/** @type {any} */ e) => { writing.value = e.currentTarget.value; }} onBlur=${keep} onKeyDown=${(/** @type {any} */ e) => {
      if (e.key === "Enter") keep(e);
      if (e.key === "Escape") writing.value = null;
      if (e.key === "Enter" || e.key === "Escape") land(at);
      e.stopPropagation();
    }} />`;
}

/** @param {{event: any, at: any, numeral: string, ends: boolean}} props */
function Chord({ event, at, numeral, ends }) {
  const here = same(selected.value, at);
  if (here && writing.value !== null) return html`<${Writing} at=${at} />`;
  const again = event.writing === "/";
  const waits = waitingWords.value.get(`${at.part}-${at.bar}-${at.event}`);
  const name = event.rest ? "rest" : event.struck ? null : "rings on";
  return html`<button type="button" id=${`chord-${at.part}-${at.bar}-${at.event}`} class=${`chord ${again ? "stroke" : ""} ${here ? "here" : ""} ${event.doubt ? "doubt" : ""} ${event.wrong ? "wrong" : ""} ${same(now.value, at) ? "sounding" : ""}`}
      style=${`--beats:${event.beats}`} tabindex=${here || (!selected.value && at.part + at.bar + at.event === 0) ? 0 : -1}
      aria-pressed=${here} onClick=${() => select(at)} onDblClick=${() => { writing.value = event.writing; }}>
    <span class="spoken">${event.words}${waits ? `; to become ${waits}, not saved yet` : ""}${event.wrong ? `; wrong: ${event.wrong}` : ""}${event.doubt ? "; in doubt" : ""}</span><span class="seen" aria-hidden="true">
    ${waits ? html`<span class="waits">${waits}<small>not saved yet</small></span>` : again ? html`<span class="again" aria-hidden="true">∕</span>` : name ? html`<span class="quiet-word">${name}</span>` : html`<${Symbol} reading=${event} />`}
    ${event.push ? html`<span class="push" title="arrives early">‹</span>` : null}
    ${event.doubt ? html`<span class="doubt-mark">?</span>` : null}
    <span class="grip-small">${again || waits ? "" : event.grip ?? ""}</span><span class="numeral">${again || waits ? "" : pretty(numeral)}</span>${ends && !event.rest ? html`<span class="edge"></span>` : null}</span></button>`;
}

/** A part more, four bars of rest to begin with. */
function NewPart() {
  /** @param {any} e */
  const add = (e) => {
    e.preventDefault();
    const field = e.currentTarget.elements.part;
    if (field.value.trim()) void intend("add_part", { name: field.value.trim() });
    field.value = "";
  };
  return html`<form class="new-part" onSubmit=${add}><label>A new part <input name="part" class="part-name" placeholder="Bridge" /></label><button type="submit" class="quiet">Add it</button></form>`;
}

/** Bars as they were drawn last, by their place. @type {Map<string, {told: string, node: unknown}>} */
const drawn = new Map();

/** A bar; one that says what it said is not drawn again, so that a long chart follows the typing. @param {number} p @param {number} b @param {any} bar @param {string[]} numerals */
function barOf(p, b, bar, numerals) {
  const key = `${p}-${b}`;
  const told = JSON.stringify([bar, numerals]);
  const kept = drawn.get(key);
  if (kept?.told === told) return kept.node;
  const node = html`<li data-bar=${key} class=${`bar ${bar.repeat_start ? "opens" : ""} ${bar.repeat_times > 1 ? "closes" : ""}`}>
    ${bar.endings.length ? html`<span class="ending">${bar.endings.join(", ")}</span>` : null}
    ${bar.events.map((/** @type {any} */ event, /** @type {number} */ e) => html`<${Chord} event=${event} at=${{ part: p, bar: b, event: e }} numeral=${numerals[e]} ends=${!bar.events[e + 1]?.again} />`)}
    <span class="bar-marks">${[bar.lick && "lick", bar.repeat_times > 1 && `×${bar.repeat_times}`].filter(Boolean).join("  ")}</span></li>`;
  drawn.set(key, { told, node });
  return node;
}

/** @param {{harmony: any}} props */
export function Chart({ harmony }) {
  /** @param {string} place */
  const numeral = (place) => harmony?.chords?.[harmony.byPlace.get(place) ?? -1]?.numeral ?? "";
  const root = useRef(/** @type {HTMLElement | null} */ (null));
  useEffect(() => {
    /** @param {Event} e */
    const hold = (e) => { if (carried.peek()) e.preventDefault(); };
    for (const kind of ["touchmove", "contextmenu"]) root.current?.addEventListener(kind, hold, { passive: false });
  }, []);
  return html`<div class="chart" ref=${root} onKeyDown=${onKey} onPointerDown=${press}>
    <div class="chart-tools"><button type="button" aria-pressed=${playing.value} onClick=${togglePlaying}>${playing.value ? "Stop" : "Play"}</button>
      <button type="button" class="quiet" disabled=${!depth.value.undo} onClick=${undo}>Undo</button>
      <button type="button" class="quiet" disabled=${!depth.value.redo} onClick=${redo}>Redo</button>
      <${Saved} /><span class="hint">Space plays, arrows go, Enter writes, i inserts, + and − stretch, b adds a bar, c copies it, Delete removes; or carry a chord by hand, or its right edge</span></div>
    ${(lesson.value?.parts ?? []).map((/** @type {any} */ part, /** @type {number} */ p) => html`<section class="part" aria-label=${part.name}>
      <h3>${part.name}</h3><ol class="bars">${part.bars.map((/** @type {any} */ bar, /** @type {number} */ b) => barOf(p, b, bar, bar.events.map((/** @type {any} */ _, /** @type {number} */ e) => numeral(`${p}-${b}-${e}`))))}</ol></section>`)}
    <${NewPart} /><${CarriedChord} />
  </div>`;
}
