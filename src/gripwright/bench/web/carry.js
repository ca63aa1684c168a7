// Carry a chord by mouse, pen or finger: to another beat, bar or part, or by its edge.
import { signal } from "./vendor/signals.js";
import { html } from "./html.js";
import { intend } from "./edits.js";
import { pretty } from "./music.js";
import { barAt, eventAt, land, nodeAt, onBeat, placeWords, startsOf, stayAt } from "./places.js";
import { follow, noClick, scrollNear } from "./pointer.js";

/** @typedef {import("./places.js").At} At */
/** @typedef {{part: number, bar: number, beat: number}} Goal the beat where a chord is to start, or its edge to stand */
/** @typedef {{left: number, top: number, width: number, height: number}} Box */
/** @typedef {{name: string, words: string, x: number, y: number, mark: Box | null, edge: boolean}} Carried */

export const carried = signal(/** @type {Carried | null} */ (null));
/** What was done with a chord, for those who do not see it. */
export const said = signal("");
const HOLD_MS = 350;
const SLACK_PX = 6;

/** Where the beats of a bar lie on the screen, its end last. @param {{part: number, bar: number}} at */
function beatLines(at) {
  const bar = barAt(at);
  const starts = startsOf(bar);
  const boxes = bar.events.map((/** @type {any} */ _, /** @type {number} */ event) => nodeAt({ ...at, event })?.getBoundingClientRect());
  return [...bar.grid, starts.at(-1)].map((/** @type {number} */ beat) => {
    const held = Math.min(boxes.length - 1, Math.max(0, starts.findLastIndex((start) => start <= beat + 1e-6)));
    const box = boxes[held];
    return box ? box.left + (box.width * (beat - starts[held])) / (starts[held + 1] - starts[held]) : 0;
  });
}

/** The bar under a point, or just above or below it. @param {number} x @param {number} y */
function barUnder(x, y) {
  for (const lift of [0, -14, 14]) {
    const node = document.elementFromPoint(x, y + lift)?.closest("[data-bar]");
    const [part, bar] = node?.getAttribute("data-bar")?.split("-").map(Number) ?? [];
    if (node && barAt({ part, bar })?.events.length) return { part, bar, box: node.getBoundingClientRect() };
  }
  return null;
}

/** Where a carried chord would start. @param {PointerEvent} e @returns {{goal: Goal, mark: Box} | null} */
function startUnder(e) {
  const found = barUnder(e.clientX, e.clientY);
  if (!found) return null;
  const lines = beatLines(found).slice(0, -1);
  const beat = Math.max(0, lines.findLastIndex((line) => line <= e.clientX));
  return { goal: { part: found.part, bar: found.bar, beat }, mark: { left: lines[beat] - 2, top: found.box.top, width: 3, height: found.box.height } };
}

/** Where a carried edge would stand: past the chord's start, short of the next chord's end. @param {At} at @param {PointerEvent} e */
function edgeUnder(at, e) {
  const [bar, lines] = [barAt(at), beatLines(at)];
  const [starts, { first, last }] = [startsOf(bar), stayAt(at)];
  const edges = [...bar.grid, starts.at(-1)];
  const next = bar.events[last + 1];
  const after = next ? stayAt({ ...at, event: last + 1 }).last + 1 : last + 1;
  const most = starts[after] + (!next || next.rest ? 1e-6 : -1e-6);
  const free = edges.map((edge, beat) => ({ edge, beat })).filter(({ edge }) => edge > starts[first] + 1e-6 && edge < most);
  if (!free.length) return null;
  const { beat } = free.reduce((best, one) => (Math.abs(lines[one.beat] - e.clientX) < Math.abs(lines[best.beat] - e.clientX) ? one : best));
  const from = nodeAt({ ...at, event: first })?.getBoundingClientRect();
  const box = from ?? new DOMRect();
  const mark = { left: box.left, top: box.top, width: Math.max(6, lines[beat] - box.left), height: box.height };
  return { goal: { part: at.part, bar: at.bar, beat }, mark };
}

/** @param {At} at @param {Goal} goal @param {boolean} copy @param {string} name */
async function drop(at, goal, copy, name) {
  const here = !copy && at.part === goal.part && at.bar === goal.bar && onBeat(goal, goal.beat).event === at.event;
  if (here && Math.abs(startsOf(barAt(at))[at.event] - barAt(at).grid[goal.beat]) < 1e-6) return;
  const done = await intend("carry_chord", { ...at, to_part: goal.part, to_bar: goal.bar, to_beat: goal.beat, ...(copy ? { copy } : {}) });
  if (!done) return;
  land(onBeat(goal, goal.beat));
  said.value = `${name}: ${placeWords(goal, goal.beat)}`;
}

/** A press on the chart: a chord may be carried from here, or its edge. @param {PointerEvent} e */
export function press(e) {
  const node = e.target instanceof Element ? e.target.closest("button.chord") : null;
  if (!node || e.button !== 0 || !e.isPrimary) return;
  const [part, bar, event] = node.id.split("-").slice(1).map(Number);
  const at = { part, bar, event: stayAt({ part, bar, event }).first };
  const held = eventAt(at);
  if (!held || held.rest) return;
  const edge = /** @type {Element} */ (e.target).closest(".edge") !== null;
  const name = pretty(held.symbol ?? "");
  const finger = e.pointerType === "touch" && !edge;
  /** @type {Goal | null} */
  let goal = null;
  let going = false;
  const begin = () => {
    going = true;
    if (!edge) nodeAt(at)?.classList.add("lifted");
    carried.value = { name, words: "", x: e.clientX, y: e.clientY, mark: null, edge };
  };
  const waiting = finger ? setTimeout(begin, HOLD_MS) : 0;
  const end = () => {
    clearTimeout(waiting);
    carried.value = null;
    nodeAt(at)?.classList.remove("lifted");
  };
  const stop = follow(e, {
    move(now) {
      const far = Math.hypot(now.clientX - e.clientX, now.clientY - e.clientY) > SLACK_PX;
      if (!going && far && finger) {
        stop();
        return end();
      }
      if (!going && far) begin();
      if (!going) return;
      scrollNear(now.clientY);
      const found = edge ? edgeUnder(at, now) : startUnder(now);
      goal = found?.goal ?? null;
      const copy = !edge && now.ctrlKey;
      const words = goal ? (edge ? lengthWords(at, goal.beat) : placeWords(goal, goal.beat)) : "let go here and it stays";
      carried.value = { name: copy ? `${name}, a copy` : name, words, x: now.clientX, y: now.clientY, mark: found?.mark ?? null, edge };
    },
    done(now) {
      end();
      if (!going) return;
      noClick();
      if (goal && edge) void intend("stretch_chord", { ...at, to_beat: goal.beat }).then((done) => { if (done) land(at); });
      else if (goal) void drop(at, goal, now.ctrlKey, name);
    },
    cancel: end,
  });
}

/** @param {At} at @param {number} beat */
function lengthWords(at, beat) {
  const bar = barAt(at);
  const starts = startsOf(bar);
  const beats = Number((([...bar.grid, starts.at(-1)][beat]) - starts[at.event]).toFixed(2));
  return `${beats} ${beats === 1 ? "beat" : "beats"}`;
}

/** What is under the hand while a chord is carried, and where it would go. */
export function CarriedChord() {
  const now = carried.value;
  const mark = now?.mark;
  return html`<p class="spoken" role="status">${said.value}</p>${mark ? html`<div class=${now.edge ? "carry-edge" : "carry-mark"} aria-hidden="true"
      style=${`left:${mark.left}px;top:${mark.top}px;width:${mark.width}px;height:${mark.height}px`}></div>` : null}
    ${now ? html`<div class="carry-ghost" aria-hidden="true" style=${`left:${Math.min(innerWidth - 190, now.x + 14)}px;top:${now.y + 18}px`}><strong>${now.name}</strong><span>${now.words}</span></div>` : null}`;
}
