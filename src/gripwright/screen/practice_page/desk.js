// The desk: the ways to hear the song that the page has, and the one that is chosen.

import { Player } from "./player.js";
import { TakePlayer } from "./take.js";

export class Desk extends EventTarget {
  /** @param {import("./score.js").Score} score */
  constructor(score) {
    super();
    this.score = score;
    this.plucked = new Player(score);
    this.taken = score.take ? new TakePlayer(score, score.take) : null;
    /** @type {import("./practising.js").Practising} */
    this.player = this.plucked;
    for (const one of [this.plucked, this.taken]) {
      one?.addEventListener("change", () => this.dispatchEvent(new Event("change")));
    }
  }

  /** Hear the plucked notes or the take, from where we are. @param {"plucked" | "taken"} which */
  async choose(which) {
    const other = this[which];
    if (!other || other === this.player) return;
    const before = this.player;
    const going = before.playing;
    other.takeOver(before);
    before.stop();
    this.player = other;
    other.changed();
    if (going) await other.play();
  }

  swap() {
    return this.choose(this.player === this.plucked ? "taken" : "plucked");
  }
}
