// Practising: what is common to every way to hear the song. Where we are, what goes round, how fast.

import { wholeSpan } from "./score.js";

/** Where we are as one hears it: the count (from 1, else 0), the place, the round.
 * @typedef {{count: number, place: number, round: number, bar: number, event: number}} Where */

export class Practising extends EventTarget {
  /** @param {import("./score.js").Score} score @param {number} slowest in percent
   * @param {number} fastest in percent */
  constructor(score, slowest, fastest) {
    super();
    this.score = score;
    this.slowest = slowest;
    this.fastest = fastest;
    this.tempo = 100;
    this.span = wholeSpan(score);
    this.looping = false;
    /** Whether there are count-in and click to be chosen. */
    this.countsIn = true;
    this.counting = true;
    this.clicking = false;
    this.playing = false;
    this.bar = 0;
    /** What stands in the way, in words. */
    this.trouble = "";
  }

  changed() {
    this.dispatchEvent(new Event("change"));
  }

  /** @param {number} percent */
  setTempo(percent) {
    this.tempo = Math.round(Math.min(this.fastest, Math.max(this.slowest, percent)));
    if (this.playing) this.retune();
    this.changed();
  }

  /** Practise some bars over and over, or with null the whole song once.
   * @param {import("./score.js").Span | null} span */
  setLoop(span) {
    this.looping = span !== null;
    this.span = span ?? wholeSpan(this.score);
    if (this.bar < this.span.first || this.bar > this.span.last) this.goTo(this.span.first);
    else if (this.playing) this.goTo(this.bar);
    this.changed();
  }

  /** Go to a bar; while playing, play on from there. @param {number} bar */
  goTo(bar) {
    this.bar = Math.min(this.span.last, Math.max(this.span.first, bar));
    if (this.playing) this.restart();
    this.changed();
  }

  /** Begin where another left off. @param {Practising} other */
  takeOver(other) {
    this.bar = other.playing ? other.where().bar : other.bar;
    this.span = other.span;
    this.looping = other.looping;
    this.setTempo(other.tempo);
  }

  finish() {
    this.stop();
    this.goTo(this.span.first);
  }

  /** Whether a bar can be heard. @param {number} bar */
  has(bar) {
    return bar >= 0;
  }

  async play() {}

  stop() {}

  /** Go on from `bar`. */
  restart() {}

  /** Go on at the tempo chosen. */
  retune() {}

  /** @returns {Where} */
  where() {
    const place = this.score.bars[this.bar].start;
    return { count: 0, place, round: 0, bar: this.bar, event: -1 };
  }
}
