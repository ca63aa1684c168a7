// The neck under the hand, drawn and by keys: arrow about; x mutes, 0 opens.
import { useEffect, useRef } from "./vendor/hooks.js";
import { signal } from "./vendor/signals.js";
import { html } from "./html.js";
import { altered, family, pretty } from "./music.js";
import { cellOf, dragging, press, put } from "./neck_hand.js";
import { capo, frets, leftHanded, openMidi, tuning } from "./state.js";

const WIDTH = 1400;
const LAST = 17;
const GAP = 54;
const NUT_X = 96;
const cursor = signal({ index: 0, fret: 0 });
const MARKS = [3, 5, 7, 9, 12, 15, 17];

/** Where a fret wire lies: true spacing eased half-way to even, so that high frets stay easy to hit. @param {number} fret */
function wire(fret) {
  const scale = (1 - 2 ** (-fret / 12)) / (1 - 2 ** (-LAST / 12));
  return NUT_X + (WIDTH - NUT_X - 20) * (0.5 * scale + (0.5 * fret) / LAST);
}

/** Mirror a place for a left-handed player: strings turn, text does not. @param {number} x @param {number} [wide] */
const side = (x, wide = 0) => (leftHanded.value ? WIDTH - x - wide : x);
/** @param {number} fret */
const centre = (fret) => side(fret === 0 ? NUT_X - 26 : (wire(fret - 1) + wire(fret)) / 2);
/** Strings from the top: string 1 above, as the player looks down. @param {number} index @param {number} count */
const height = (index, count) => 30 + (count - 1 - index) * GAP;

/** @param {string} kind @param {number} x @param {number} y */
function shape(kind, x, y) {
  if (kind === "root") return html`<rect x=${x - 15} y=${y - 15} width="30" height="30" rx="6" />`;
  if (kind === "fifth") return html`<circle class="ring" cx=${x} cy=${y} r="15" />`;
  if (kind === "seventh") return html`<rect x=${x - 13.5} y=${y - 13.5} width="27" height="27" rx="2" transform=${`rotate(45 ${x} ${y})`} />`;
  if (kind === "tension") return html`<path d=${`M${x} ${y - 21} L${x + 20} ${y + 13} L${x - 20} ${y + 13} Z`} />`;
  return html`<circle cx=${x} cy=${y} r="16" />`;
}

/** @param {{fret: number | null, index: number, count: number, tone: any}} props */
function Dot({ fret, index, count, tone }) {
  const y = height(index, count);
  if (fret === null) {
    return html`<g class="muted" aria-hidden="true"><path d=${`M${centre(0) - 8} ${y - 8} l16 16 m0 -16 l-16 16`} /></g>`;
  }
  const kind = tone ? family(tone.degree) : "third";
  const x = centre(fret);
  const lift = kind === "tension" ? 4 : 0;
  return html`<g class=${`dot ${kind} ${tone ? "" : "plain"}`} aria-hidden="true">
    ${tone && altered(tone.degree) ? html`<circle class="outline" cx=${x} cy=${y} r="22" />` : null}
    ${shape(kind, x, y)}
    <text x=${x} y=${y + lift + 5.5}>${tone ? pretty(tone.degree) : ""}</text>
  </g>`;
}

/** The sentence a screen reader hears for a place on the neck. @param {number} index @param {number} fret @param {any} tones */
function spoken(index, fret, tones) {
  const string = frets.value.length - index;
  const here = frets.value[index];
  const tone = tones.find((/** @type {any} */ t) => t.string === string);
  const state = here === null ? "not played" : here === fret ? `pressed${tone ? `, ${tone.note}, degree ${tone.degree}` : ""}` : `string plays fret ${here}`;
  return `String ${string}, ${fret === 0 ? "open" : `fret ${fret}`}: ${state}`;
}

/** The note of a string as it is tuned. @param {number} index */
const openName = (index) => pretty((tuning.value.split(/[\s,]+/)[index] ?? "").replace(/-?\d+$/, ""));

/** @param {KeyboardEvent} event */
function onKey(event) {
  const { index, fret } = cursor.value;
  const count = frets.value.length;
  const along = leftHanded.value ? -1 : 1;
  const moves = /** @type {Record<string, [number, number]>} */ ({ ArrowUp: [1, 0], ArrowDown: [-1, 0], ArrowRight: [0, along], ArrowLeft: [0, -along] });
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  if (moves[event.key]) {
    const [up, over] = moves[event.key];
    cursor.value = { index: Math.min(count - 1, Math.max(0, index + up)), fret: Math.min(LAST, Math.max(0, fret + over)) };
  } else if (event.key === "Enter" || event.key === " ") {
    put(index, frets.value[index] === fret ? null : fret);
  } else if (event.key === "Home") {
    cursor.value = { index: 0, fret: 0 };
  } else if (event.key === "x") {
    put(index, null);
  } else if (event.key === "0") {
    cursor.value = { index, fret: 0 };
    put(index, 0);
  } else return;
  event.preventDefault();
}

/** The neck. @param {{tones: any[], onCursor?: (string: number) => void}} props */
export function Neck({ tones, onCursor }) {
  const root = useRef(/** @type {SVGElement | null} */ (null));
  useEffect(() => {
    root.current?.addEventListener("touchmove", (e) => { if (dragging.now) e.preventDefault(); }, { passive: false });
  }, []);
  const count = frets.value.length;
  const tall = 30 + (count - 1) * GAP + 56;
  const { index: atString, fret: atFret } = cursor.value;
  const left = atFret === 0 ? NUT_X - 48 : wire(atFret - 1) + 3;
  const across = atFret === 0 ? 44 : wire(atFret) - left - 3;
  const seen = (/** @type {number} */ index, /** @type {number} */ fret) => { cursor.value = { index, fret }; };
  /** @param {PointerEvent} e */
  const over = (e) => {
    const cell = cellOf(e.target);
    if (cell) onCursor?.(count - cell.index);
  };
  const cells = Array.from({ length: count }, (_, index) => Array.from({ length: LAST + 1 }, (_, fret) => {
    const from = fret === 0 ? 0 : wire(fret - 1);
    const wide = fret === 0 ? NUT_X : wire(fret) - from;
    return html`<rect class="cell" data-string=${count - index} data-fret=${fret} x=${side(from, wide)} y=${height(index, count) - GAP / 2} width=${wide} height=${GAP} />`;
  }));
  return html`<div class="neck-scroll"><svg class="neck" ref=${root} viewBox=${`0 0 ${WIDTH} ${tall}`} tabindex="0" role="application"
      aria-label="Neck. Arrow keys move, Enter puts or lifts a finger, x mutes, 0 opens." aria-describedby="neck-spoken"
      onKeyDown=${onKey} onPointerDown=${(/** @type {PointerEvent} */ e) => press(e, seen)} onPointerOver=${over}>
      ${MARKS.map((fret) => html`<text class="mark" x=${centre(fret)} y=${tall - 4}>${fret}</text>`)}
      ${Array.from({ length: LAST + 1 }, (_, fret) => html`<line class=${fret === 0 ? "nut" : "fret"} x1=${side(wire(fret))} x2=${side(wire(fret))} y1=${30} y2=${30 + (count - 1) * GAP} />`)}
      ${Array.from({ length: count }, (_, index) => html`<line class="string" x1=${side(NUT_X)} x2=${side(WIDTH - 20)} y1=${height(index, count)} y2=${height(index, count)} />`)}
      ${Array.from({ length: count }, (_, index) => html`<text class="mark open-name" x=${side(20)} y=${height(index, count) + 5}>${openName(index)}</text>`)}
      ${capo.value ? html`<text class="mark" x=${side(NUT_X)} y=${tall - 4}>capo ${capo.value}</text>` : null}
      <rect class="cursor" x=${side(left, across)} y=${height(atString, count) - 21} width=${across} height="42" rx="8" />
      ${frets.value.map((fret, index) => html`<${Dot} fret=${fret} index=${index} count=${count} tone=${tones.find((tone) => tone.string === count - index)} />`)}
      <g class="cells">${cells}</g>
  </svg><p id="neck-spoken" class="spoken" role="status">${spoken(atString, atFret, tones)}${capo.value ? `; capo at ${capo.value}` : ""}${openMidi.value.length ? "" : "; no tuning"}</p></div>`;
}
