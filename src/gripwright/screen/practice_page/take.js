// The take: the teacher's own recording, slowed by the browser at the same pitch. The chart
// follows it by the second at which each event was played.

import { Practising } from "./practising.js";
import { eventAt, indexAt } from "./score.js";

const TAKE_SLOWEST = 50;
const TAKE_FASTEST = 100;
const TAKE_TICK_MS = 20;
const BEFORE_S = 0.04; // so that no attack is cut

export class TakePlayer extends Practising {
  /** @param {import("./score.js").Score} score @param {import("./score.js").Played[]} played */
  constructor(score, played) {
    super(score, TAKE_SLOWEST, TAKE_FASTEST);
    this.played = played;
    this.countsIn = this.counting = false;
    this.audio = /** @type {HTMLAudioElement} */ (document.getElementById("take-sound"));
    this.round = 0;
    this.timer = 0;
    this.bars = new Set(played.map((one) => this.barOf(one)));
  }

  /** @param {import("./score.js").Played} one */
  barOf(one) {
    return this.score.events[one.event].bar;
  }

  /** @param {number} bar */
  has(bar) {
    return this.bars.has(bar);
  }

  /** Give the browser the sound that the page carries. */
  async load() {
    if (this.audio.src) return;
    const text = /** @type {HTMLElement} */ (document.getElementById("take")).textContent || "";
    const bytes = Uint8Array.from(atob(text.trim()), (letter) => letter.charCodeAt(0));
    const ready = new Promise((resolve, reject) => {
      this.audio.addEventListener("loadedmetadata", resolve, { once: true });
      this.audio.addEventListener("error", reject, { once: true });
    });
    this.audio.src = URL.createObjectURL(new Blob([bytes], { type: "audio/mp4" }));
    await ready;
  }

  /** Where a run of bars lies in the take, or null. @param {number} first @param {number} last */
  stretch(first, last) {
    const inside = (/** @type {import("./score.js").Played} */ one) =>
      this.barOf(one) >= first && this.barOf(one) <= last;
    const from = this.played.findIndex(inside);
    if (from < 0) return null;
    let to = from;
    while (to + 1 < this.played.length && inside(this.played[to + 1])) to += 1;
    const start = Math.max(0, this.played[from].start - BEFORE_S);
    return { start, end: this.played[to].end };
  }

  async play() {
    if (this.playing) return;
    this.trouble = "";
    try {
      await this.load();
    } catch {
      this.trouble = "This browser cannot play the take.";
      return this.changed();
    }
    if (!this.stretch(this.bar, this.span.last)) {
      this.trouble = "These bars are not in the take.";
      return this.changed();
    }
    this.playing = true;
    this.round = 0;
    this.retune();
    this.restart();
    await this.audio.play();
    this.timer = window.setInterval(() => this.tick(), TAKE_TICK_MS);
    this.changed();
  }

  stop() {
    this.playing = false;
    window.clearInterval(this.timer);
    this.audio.pause();
    this.changed();
  }

  retune() {
    this.audio.preservesPitch = true;
    this.audio.playbackRate = this.tempo / 100;
  }

  restart() {
    const found = this.stretch(this.bar, this.span.last);
    if (found) this.audio.currentTime = found.start;
  }

  /** Come round in a loop, end at the end. */
  tick() {
    const round = this.looping ? this.stretch(this.span.first, this.span.last) : null;
    if (round && (this.audio.ended || this.audio.currentTime >= round.end)) {
      this.audio.currentTime = round.start;
      this.round += 1;
      if (this.audio.ended || this.audio.paused) void this.audio.play();
    } else if (this.audio.ended) {
      this.finish();
    }
  }

  where() {
    const { score, played } = this;
    if (!this.playing) {
      const place = score.bars[this.bar].start;
      const event = this.has(this.bar) ? eventAt(score, place) : -1;
      return { count: 0, place, round: 0, bar: this.bar, event };
    }
    const now = this.audio.currentTime;
    const one = played[indexAt(played, now)];
    if (!one) return { count: 0, place: 0, round: this.round, bar: this.barOf(played[0]), event: -1 };
    const { start, end, bar } = score.events[one.event];
    const share = Math.min(1, (now - one.start) / Math.max(1e-3, one.end - one.start));
    const event = share < 1 ? one.event : -1;
    const place = start + Math.min(share, 0.9999) * (end - start);
    return { count: 0, place, round: this.round, bar: Math.max(bar, indexAt(score.bars, place)), event };
  }
}
