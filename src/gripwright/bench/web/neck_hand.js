// The neck by mouse, pen or finger: a click puts or lifts, a drag takes a dot along or across.
import { follow } from "./pointer.js";
import { frets, setFret, setFrets, sounding } from "./state.js";
import { strum } from "./sound.js";

/** Whether a dot is in the hand, so that the page must not scroll. */
export const dragging = { now: false };

/** @param {number} index @param {number | null} fret */
export function put(index, fret) {
  setFret(index, fret);
  strum(sounding.value);
}

/** The place of a cell of the neck. @param {EventTarget | null} node @returns {{index: number, fret: number} | null} */
export function cellOf(node) {
  const told = node instanceof SVGElement ? node.dataset : {};
  return told.string && told.fret ? { index: frets.peek().length - Number(told.string), fret: Number(told.fret) } : null;
}

/** A press on a place of the neck. @param {PointerEvent} e @param {(index: number, fret: number) => void} seen */
export function press(e, seen) {
  const from = cellOf(e.target);
  if (!from || e.button !== 0) return;
  e.preventDefault();
  if (e.currentTarget instanceof SVGElement) e.currentTarget.focus({ preventScroll: true });
  const base = frets.peek();
  const had = base[from.index] === from.fret;
  const finger = e.pointerType === "touch";
  let at = from;
  dragging.now = had;
  seen(from.index, from.fret);
  if (!had && !finger) put(from.index, from.fret);
  follow(e, {
    move(now) {
      const next = cellOf(document.elementFromPoint(now.clientX, now.clientY));
      if (!next || (next.index === at.index && next.fret === at.fret) || (finger && !had)) return;
      at = next;
      const left = had ? null : base[from.index];
      setFrets(base.map((fret, index) => (index === next.index ? next.fret : index === from.index ? left : fret)));
      seen(next.index, next.fret);
      strum(sounding.value);
    },
    done() {
      dragging.now = false;
      if (at === from && had) put(from.index, null);
      else if (at === from && finger) put(from.index, from.fret);
    },
    cancel() {
      dragging.now = false;
      setFrets(base);
    },
  });
}
