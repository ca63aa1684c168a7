// One gesture of a pointer, mouse, pen or finger: from its press until it lifts, or is given up.

/** @typedef {{move: (e: PointerEvent) => void, done: (e: PointerEvent) => void, cancel: () => void}} Gesture */

/**
 * Follow a pointer after its press, wherever it goes; Escape gives the gesture up. Returns what
 * ends it early without a word.
 * @param {PointerEvent} press @param {Gesture} gesture
 */
export function follow(press, gesture) {
  const mine = (/** @type {PointerEvent} */ e) => e.pointerId === press.pointerId;
  const ends = new AbortController();
  const on = { signal: ends.signal, capture: true };
  const cancel = () => {
    ends.abort();
    gesture.cancel();
  };
  if (press.isTrusted && press.target instanceof Element) press.target.setPointerCapture(press.pointerId);
  addEventListener("pointermove", (e) => { if (mine(e)) gesture.move(e); }, on);
  addEventListener("pointerup", (e) => {
    if (!mine(e)) return;
    ends.abort();
    gesture.done(e);
  }, on);
  addEventListener("pointercancel", (e) => { if (mine(e)) cancel(); }, on);
  addEventListener("blur", (e) => { if (e.target === window) cancel(); }, on);
  addEventListener("keydown", (e) => {
    if (e.key !== "Escape") return;
    e.preventDefault();
    e.stopPropagation();
    addEventListener("pointerup", noClick, { once: true, capture: true });
    cancel();
  }, on);
  return () => ends.abort();
}

/** Keep a press that became a gesture from counting as a click too. */
export function noClick() {
  const ends = new AbortController();
  addEventListener("click", (e) => { e.preventDefault(); e.stopPropagation(); }, { signal: ends.signal, capture: true });
  setTimeout(() => ends.abort(), 0);
}

/** Scroll the page while something is carried near its upper or lower edge. @param {number} y */
export function scrollNear(y) {
  const reach = 56;
  if (y < reach) scrollBy(0, -12);
  else if (y > innerHeight - reach) scrollBy(0, 12);
}
