// The shelf: where something was taught, what comes next, what the lessons favour.
import { useEffect, useRef } from "../vendor/hooks.js";
import { html } from "../html.js";
import { openAt } from "../jump.js";
import { pretty } from "../music.js";
import { ahead, ask, brings, busy, compare, found, look, moved, putAll, report, search, shelf } from "../shelving.js";
import { lesson, lessons } from "../state.js";
import { place } from "../url.js";
import { Busy } from "./busy.js";

const WHY = [["again", "Due again"], ["new", "New"], ["neglected", "Neglected"]];
const HEADS = [["grips", "Grips"], ["moves", "Moves"], ["remarks", "Devices"], ["qualities", "Qualities"], ["tensions", "Tensions"], ["tops", "Top notes"], ["shapes", "Shapes"], ["keys", "Keys"], ["tunings", "Tunings"]];
const READ = /** @type {Record<string, string>} */ ({ grip: "a grip", shape: "a shape at any fret", symbol: "a symbol", quality: "a quality on any root", numerals: "numerals in a row", remark: "a device", title: "words of a title" });
const SHOWN = 8;
const HABITS = 5;
const PLACES = 60;

/** @param {number} count @param {string} word */
const counted = (count, word) => `${count} ${word}${count === 1 ? "" : "s"}`;

/** @param {{path: string, title: string, part: string, bar: number, line: number, symbol: string, grip: string, numeral: string, key: string, missing: boolean, opens: boolean}} one */
function placeOf(one) {
  const where = one.part ? `${one.part}, bar ${one.bar}` : "";
  const held = one.part ? [pretty(one.symbol), one.grip, pretty(one.numeral)].filter(Boolean).join("  ") : pretty(one.key);
  const words = html`<strong>${one.title}</strong><span>${where}</span><span class="grip-text">${held}</span>`;
  const away = one.missing ? "the file is gone" : "in another folder";
  return one.opens ? html`<li><button type="button" class="quiet" onClick=${() => openAt(one.path, one.line)}>${words}</button></li>`
    : html`<li class="elsewhere">${words}<span class="share">${one.path}, ${away}</span></li>`;
}

function Found() {
  const answer = found.value;
  if (!answer) return null;
  const lessonsOf = new Set(answer.found.map((/** @type {any} */ one) => one.path)).size;
  const rest = answer.found.length - PLACES;
  return html`<section class="shelf-found" aria-label="Found"><p role="status">${pretty(answer.query)}, read as ${READ[answer.kind]}: ${answer.found.length ? `${answer.kind === "title" ? "" : `${counted(answer.found.length, "place")} in `}${counted(lessonsOf, "lesson")}` : "nowhere on the shelf"}</p>
    <ul class="shelf-places">${answer.found.slice(0, PLACES).map(placeOf)}</ul>${rest > 0 ? html`<p class="quiet-word">and ${rest} more</p>` : null}</section>`;
}

/** The field is written from the address; typing in it is safe. */
function Search() {
  const field = useRef(/** @type {HTMLInputElement | null} */ (null));
  const { find } = place.value;
  useEffect(() => { if (field.current) field.current.value = find; void search(); }, [find]);
  return html`<form role="search" onSubmit=${(/** @type {Event} */ e) => { e.preventDefault(); ask(field.current?.value.trim() ?? "", moved.value); }}>
    <label>Where was this taught?<input ref=${field} type="search" spellcheck="false" placeholder="x35453, Cmaj7, ii7 V7, a title" /></label>
    <label class="check"><input type="checkbox" checked=${moved.value} onChange=${(/** @type {any} */ e) => { moved.value = e.currentTarget.checked; void search(); }} /> at any fret, on any root</label>
    <button type="submit">Find</button></form>`;
}

function Next() {
  const given = ahead.value?.suggestions ?? [];
  const groups = WHY.map(([why, head]) => ({ head, own: given.filter((/** @type {any} */ one) => one.why === why) })).filter(({ own }) => own.length);
  return html`<section aria-labelledby="shelf-next"><h2 id="shelf-next">What comes next</h2>
    ${groups.length ? null : html`<p>Nothing is missing, and nothing is due.</p>`}
    ${groups.map(({ head, own }) => html`<h3>${head}</h3><ul class="plain">${own.slice(0, SHOWN).map((/** @type {any} */ one) => html`<li>${pretty(one.text)}</li>`)}</ul>${own.length > SHOWN ? html`<p class="quiet-word">and ${own.length - SHOWN} more</p>` : null}`)}
    ${brings.value ? html`<h3>New in ${lesson.value?.title}</h3><ul class="plain">${brings.value.map((/** @type {any} */ one) => html`<li>${one.name}: ${one.new.length ? one.new.map(pretty).join(", ") : "none"} <span class="share">met before: ${one.again}</span></li>`)}</ul>` : null}</section>`;
}

/** @param {{name: string, rows: any[]}} props */
function Habits({ name, rows }) {
  return html`<table class="chain habits"><caption>${name}</caption><thead class="spoken"><tr><th>What</th><th>Lessons</th><th>Chords</th></tr></thead><tbody>${rows.slice(0, HABITS).map((row) => html`<tr>
    <th scope="row">${row.query ? html`<button type="button" class="link" title="Where?" onClick=${() => ask(row.query, row.moved)}>${pretty(row.said)}</button>` : pretty(row.said)}</th>
    <td>${counted(row.lessons, "lesson")}</td><td>${row.chords ? counted(row.chords, "chord") : ""}</td></tr>`)}</tbody></table>`;
}

function Report() {
  const told = report.value;
  if (!told) return null;
  return html`<section aria-labelledby="shelf-report"><h2 id="shelf-report">What these lessons favour</h2>
    <p class="quiet-word">${counted(told.lessons, "lesson")}, ${counted(told.chords, "written chord")}</p>
    <div class="habit-list">${HEADS.filter(([kind]) => told[kind].length).map(([kind, name]) => html`<${Habits} name=${name} rows=${told[kind]} />`)}</div></section>`;
}

/** Lessons of the folder that are not on the shelf as they are now. */
function Waiting() {
  const count = shelf.value?.waiting.length ?? 0;
  if (!count && !busy.value.words) return null;
  return html`<div class="shelf-waiting">${count ? html`<button type="button" class="quiet" disabled=${busy.value.id !== ""} onClick=${putAll}>Bring the shelf up to date</button>
    <span class="quiet-word">${counted(count, "lesson")} of this folder ${count === 1 ? "is" : "are"} new or changed</span>` : null}<${Busy} of=${busy} /></div>`;
}

function Empty() {
  const count = lessons.value.length;
  return html`<section class="shelf-view" aria-label="Shelf"><h1>The shelf is empty</h1>
    <p class="invite">On the shelf your lessons can be searched together: where a grip was taught, which moves you favour, what the next lesson could teach. It only remembers what the lessons say; the files stay where they are.</p>
    ${count ? html`<div class="actions"><button type="button" disabled=${busy.value.id !== ""} onClick=${putAll}>Put ${count === 1 ? "the lesson" : `the ${count} lessons`} of this folder on it</button></div>`
    : html`<p>There is no lesson in this folder yet. Start one under Changes, then come back.</p>`}<${Busy} of=${busy} /></section>`;
}

export function ShelfView() {
  useEffect(() => { void look(); }, [lessons.value]);
  useEffect(() => { void compare().catch(() => {}); }, [lesson.value?.path]);
  if (!shelf.value) return html`<section class="shelf-view" aria-label="Shelf"><h1>Shelf</h1></section>`;
  if (!shelf.value.lessons) return html`<${Empty} />`;
  return html`<section class="shelf-view" aria-label="Shelf"><h1>Shelf</h1><${Search} /><${Found} /><${Waiting} />
    <div class="two"><${Report} /><${Next} /></div></section>`;
}
