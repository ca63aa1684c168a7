// The chart: bars aligned four to a line, every chord reachable by mouse and keys.
import { signal } from "./vendor/signals.js";
import { html } from "./html.js";
import { depth, intend, redo, undo } from "./edits.js";
import { pretty } from "./music.js";
import { now, play, playing, stopPlaying } from "./player.js";
import { lesson, selected, setFrets, showGrip, sounding } from "./state.js";
import { strum } from "./sound.js";
import { Symbol } from "./views/readings.js";

export const writing = signal(/** @type {string | null} */ (null));

/** All chords in the order of writing. @returns {{part: number, bar: number, event: number}[]} */
function places() {
  return (lesson.value?.parts ?? []).flatMap((/** @type {any} */ part, /** @type {number} */ p) =>
    part.bars.flatMap((/** @type {any} */ bar, /** @type {number} */ b) =>
      bar.events.map((/** @type {any} */ _, /** @type {number} */ e) => ({ part: p, bar: b, event: e }))));
}

/** @param {{part: number, bar: number, event: number} | null} a @param {{part: number, bar: number, event: number}} b */
const same = (a, b) => a !== null && a.part === b.part && a.bar === b.bar && a.event === b.event;

/** @param {{part: number, bar: number, event: number}} at */
const eventAt = (at) => lesson.value?.parts[at.part]?.bars[at.bar]?.events[at.event];

/** Select a chord: it goes on the neck and sounds. @param {{part: number, bar: number, event: number}} at */
export function select(at) {
  selected.value = at;
  const event = eventAt(at);
  if (event?.grip) {
    showGrip(event.grip);
    strum(sounding.value);
  } else if (event) setFrets(Array((lesson.value.tuning ?? "").split(" ").length).fill(null));
  document.getElementById(`chord-${at.part}-${at.bar}-${at.event}`)?.focus();
}

/** @param {number} by */
function step(by) {
  const all = places();
  const here = selected.value ? all.findIndex((at) => same(selected.value, at)) : -1;
  const next = all[Math.min(all.length - 1, Math.max(0, here + by))];
  if (next) select(next);
}

function togglePlaying() {
  if (playing.value) stopPlaying();
  else void play(selected.value);
}

/** @param {KeyboardEvent} event */
function onKey(event) {
  const at = selected.value;
  const plain = !event.ctrlKey && !event.metaKey && !event.altKey;
  const target = /** @type {HTMLElement} */ (event.target);
  if (!at || target.tagName === "INPUT") return;
  if (plain && event.key === " ") togglePlaying();
  else if (plain && event.key === "ArrowRight") step(1);
  else if (plain && event.key === "ArrowLeft") step(-1);
  else if (plain && (event.key === "Enter" || event.key === "F2")) writing.value = eventAt(at)?.writing ?? "";
  else if (plain && /^[A-Gx]$/.test(event.key)) writing.value = event.key;
  else if (plain && (event.key === "Delete" || event.key === "Backspace")) void intend("delete_chord", at);
  else if (plain && event.key === "+") void intend("stretch_chord", { ...at, beats: 1 });
  else if (plain && event.key === "-") void intend("stretch_chord", { ...at, beats: -1 });
  else if (plain && event.key === "i") void intend("insert_chord", { ...at, writing: eventAt(at)?.writing ?? "C" });
  else if (plain && event.key === "b") void intend("insert_bar", { part: at.part, bar: at.bar + 1 });
  else if (plain && event.key === "c") void intend("copy_bar", { part: at.part, bar: at.bar });
  else if (event.altKey && event.key === "ArrowRight") void intend("move_chord", { ...at, by: 1 });
  else if (event.altKey && event.key === "ArrowLeft") void intend("move_chord", { ...at, by: -1 });
  else return;
  event.preventDefault();
}

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
    onBlur=${keep} onKeyDown=${(/** @type {any} */ e) => {
      if (e.key === "Enter") keep(e);
      if (e.key === "Escape") writing.value = null;
      e.stopPropagation();
    }} />`;
}

/** @param {{event: any, at: any, numeral: any}} props */
function Chord({ event, at, numeral }) {
  const here = same(selected.value, at);
  if (here && writing.value !== null) return html`<${Writing} at=${at} />`;
  const again = event.writing === "/";
  const name = event.rest ? "rest" : event.struck ? null : "rings on";
  return html`<button type="button" id=${`chord-${at.part}-${at.bar}-${at.event}`} class=${`chord ${again ? "stroke" : ""} ${here ? "here" : ""} ${event.doubt ? "doubt" : ""} ${event.wrong ? "wrong" : ""} ${same(now.value, at) ? "sounding" : ""}`}
      style=${`--beats:${event.beats}`} tabindex=${here || (!selected.value && at.part + at.bar + at.event === 0) ? 0 : -1}
      aria-pressed=${here} onClick=${() => select(at)} onDblClick=${() => { writing.value = event.writing; }}>
    <span class="spoken">${event.words}</span><span class="seen" aria-hidden="true">
    ${again ? html`<span class="again" aria-hidden="true">∕</span>` : name ? html`<span class="quiet-word">${name}</span>` : html`<${Symbol} reading=${event} />`}
    ${event.push ? html`<span class="push" title="arrives early">‹</span>` : null}
    ${event.doubt ? html`<span class="doubt-mark">?</span>` : null}
    <span class="grip-small">${again ? "" : event.grip ?? ""}</span><span class="numeral">${again ? "" : pretty(numeral?.numeral ?? "")}</span></span></button>`;
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

/** @param {{harmony: any}} props */
export function Chart({ harmony }) {
  /** @param {number[]} place */
  const explained = (place) => harmony?.chords?.[harmony.byPlace.get(place.join("-")) ?? -1];
  return html`<div class="chart" onKeyDown=${onKey}>
    <div class="chart-tools"><button type="button" aria-pressed=${playing.value} onClick=${togglePlaying}>${playing.value ? "Stop" : "Play"}</button>
      <button type="button" class="quiet" disabled=${!depth.value.undo} onClick=${undo}>Undo</button>
      <button type="button" class="quiet" disabled=${!depth.value.redo} onClick=${redo}>Redo</button>
      <span class="hint">Space plays, arrows go, Enter writes, i inserts, + and − stretch, b adds a bar, c copies it, Delete removes</span></div>
    ${(lesson.value?.parts ?? []).map((/** @type {any} */ part, /** @type {number} */ p) => html`<section class="part" aria-label=${part.name}>
      <h3>${part.name}</h3><ol class="bars">${part.bars.map((/** @type {any} */ bar, /** @type {number} */ b) => html`<li class=${`bar ${bar.repeat_start ? "opens" : ""} ${bar.repeat_times > 1 ? "closes" : ""}`}>
        ${bar.endings.length ? html`<span class="ending">${bar.endings.join(", ")}</span>` : null}
        ${bar.events.map((/** @type {any} */ event, /** @type {number} */ e) => html`<${Chord} event=${event} at=${{ part: p, bar: b, event: e }} numeral=${explained([p, b, e])} />`)}
        ${bar.lick ? html`<span class="lick-mark">lick</span>` : null}${bar.repeat_times > 1 ? html`<span class="times">×${bar.repeat_times}</span>` : null}</li>`)}</ol></section>`)}
    <${NewPart} />
  </div>`;
}
