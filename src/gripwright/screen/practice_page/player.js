// The player: from places to the audio clock, a little ahead of what is heard.
//
// Time runs in stretches. Each maps places to seconds in a straight line, from where it was
// laid to the end of the span; a new tempo or another round lays a new stretch at the place up
// to which notes are already set. So pitch and attack never change, and nothing sounds twice.

import { Bank } from "./bank.js";
import { Practising } from "./practising.js";
import { eventAt, indexAt, limits } from "./score.js";

export const SLOWEST = 40;
export const FASTEST = 120;
const AHEAD_S = 0.2;
const AHEAD_HIDDEN_S = 1.6;
const TICK_MS = 40;
const LEAD_S = 0.12;
const RING_OUT_S = 2;
const NEAR = 1e-6;
const LOG = 400;

/**
 * @typedef {{at: number, place: number, quarter: number, round: number}} Stretch
 * @typedef {{when: number, place: number, midi: number, round: number}} Placed
 */

export class Player extends Practising {
  /** @param {import("./score.js").Score} score */
  constructor(score) {
    super(score, SLOWEST, FASTEST);
    /** The last notes that were set, newest last: what the tests and the curious can read. */
    this.log = /** @type {Placed[]} */ ([]);
    /** @type {Stretch[]} */
    this.stretches = [];
    /** @type {number[]} */
    this.counts = [];
    /** @type {Set<AudioScheduledSourceNode>} */
    this.sources = new Set();
    /** @type {Bank | null} */
    this.bank = null;
    this.timer = 0;
    this.horizon = 0;
  }

  /** Seconds a quarter at the tempo chosen. */
  get quarter() {
    return (this.score.quarter * 100) / this.tempo;
  }

  retune() {
    const now = this.stretches.at(-1);
    if (!now) return;
    const at = Math.max(this.horizon, now.at);
    const place = now.place + (at - now.at) / now.quarter;
    this.stretches.push({ at, place, quarter: this.quarter, round: now.round });
  }

  restart() {
    this.silence();
    this.lay(false);
    this.tick();
  }

  async play() {
    if (this.playing) return;
    if (!this.bank) {
      const bank = new Bank(new AudioContext(), this.score.bank);
      await bank.load();
      this.bank = bank;
    }
    await this.bank.context.resume();
    this.playing = true;
    this.lay(this.counting);
    this.timer = window.setInterval(() => this.tick(), TICK_MS);
    this.tick();
    this.changed();
  }

  stop() {
    this.playing = false;
    window.clearInterval(this.timer);
    this.silence();
    this.stretches = [];
    this.changed();
  }

  silence() {
    for (const source of this.sources) source.stop();
    this.sources.clear();
  }

  /** Lay the first stretch, from the bar where we are. @param {boolean} counted */
  lay(counted) {
    const bank = /** @type {Bank} */ (this.bank);
    const bar = this.score.bars[this.bar];
    const begin = bank.context.currentTime + LEAD_S;
    const at = begin + (counted ? bar.ahead * this.quarter : 0);
    this.counts = counted ? bar.counts.map((count) => begin + count * this.quarter) : [];
    this.counts.forEach((when, index) => {
      this.keep(bank.click(when, index % bar.counted === 0));
    });
    const stretch = { at, place: bar.start, quarter: this.quarter, round: 0 };
    this.stretches = [stretch];
    this.horizon = at;
    for (const note of this.score.notes) {
      if (note.bar === this.bar && note.start < bar.start - NEAR) this.set(note, note.start, stretch);
    }
  }

  /** Set what sounds from the horizon to a moment ahead of now. */
  tick() {
    const now = /** @type {Bank} */ (this.bank).context.currentTime;
    const until = now + (document.hidden ? AHEAD_HIDDEN_S : AHEAD_S);
    const { start, end } = limits(this.score, this.span);
    while (this.horizon < until) {
      const stretch = /** @type {Stretch} */ (this.stretches.at(-1));
      const place = (/** @type {number} */ when) =>
        stretch.place + (when - stretch.at) / stretch.quarter;
      const to = Math.min(end, place(until));
      if (place(this.horizon) < end - NEAR) this.setBetween(place(this.horizon), to, stretch);
      this.horizon = to < end - NEAR ? until : stretch.at + (end - stretch.place) * stretch.quarter;
      if (to < end - NEAR) break;
      if (!this.looping) {
        if (now > this.horizon + RING_OUT_S) this.finish();
        break;
      }
      const round = stretch.round + 1;
      this.stretches.push({ at: this.horizon, place: start, quarter: this.quarter, round });
    }
  }

  /** Set notes and clicks from one place up to another. @param {number} from
   * @param {number} to @param {Stretch} stretch */
  setBetween(from, to, stretch) {
    const { start, end } = limits(this.score, this.span);
    const { first, last } = this.span;
    for (const note of this.score.notes) {
      if (note.bar < first || note.bar > last) continue;
      const again = this.looping && note.start < start - NEAR ? end - start : 0;
      const place = note.start + again;
      if (place >= from - NEAR && place < to - NEAR) this.set(note, place, stretch);
    }
    if (!this.clicking) return;
    for (const bar of this.score.bars.slice(first, last + 1)) {
      bar.beats.forEach((beat, index) => {
        const place = bar.start + beat;
        if (place < from - NEAR || place >= to - NEAR) return;
        const when = stretch.at + (place - stretch.place) * stretch.quarter;
        this.keep(/** @type {Bank} */ (this.bank).click(when, index === 0));
      });
    }
  }

  /** Set one note on the clock. @param {import("./score.js").Note} note
   * @param {number} place @param {Stretch} stretch */
  set(note, place, stretch) {
    const bank = /** @type {Bank} */ (this.bank);
    const when = stretch.at + (place - stretch.place) * stretch.quarter + note.late;
    const soonest = Math.max(when, bank.context.currentTime);
    this.keep(bank.strike(note, soonest, note.length * stretch.quarter));
    this.log.push({ when, place, midi: note.midi, round: stretch.round });
    if (this.log.length > LOG) this.log.shift();
  }

  /** @param {AudioScheduledSourceNode} source */
  keep(source) {
    this.sources.add(source);
    source.addEventListener("ended", () => this.sources.delete(source));
  }

  where() {
    const context = this.bank?.context;
    if (!this.playing || !context) {
      const place = this.score.bars[this.bar].start;
      return { count: 0, place, round: 0, bar: this.bar, event: eventAt(this.score, place) };
    }
    const heard = context.currentTime - (context.outputLatency || context.baseLatency || 0);
    const reached = this.stretches.filter((stretch) => stretch.at <= heard);
    if (reached.length > 1) this.stretches.splice(0, reached.length - 1);
    const stretch = reached.at(-1);
    if (!stretch) {
      const { place } = this.stretches[0];
      const count = this.counts.filter((when) => when <= heard).length;
      const event = this.counts.length ? -1 : eventAt(this.score, place);
      return { count, place, round: 0, bar: this.bar, event };
    }
    const { start, end } = limits(this.score, this.span);
    const place = Math.min(end - NEAR, stretch.place + (heard - stretch.at) / stretch.quarter);
    const event = eventAt(this.score, place);
    const turn = this.looping && event >= 0 && this.score.events[event].bar > this.span.last;
    const bar = Math.max(0, indexAt(this.score.bars, place));
    const next = turn ? eventAt(this.score, start) : event;
    return { count: 0, place, round: stretch.round, bar, event: next };
  }
}
