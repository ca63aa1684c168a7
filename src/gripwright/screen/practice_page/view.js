// The view: one path from what the player says to what the page shows.

/** @param {string} id */
const byId = (id) => /** @type {HTMLElement} */ (document.getElementById(id));

/** A copy of what a template of the page holds. @param {string} id */
function copied(id) {
  const template = /** @type {HTMLTemplateElement} */ (byId(id));
  return template.content.cloneNode(true);
}

export class View {
  /** @param {import("./desk.js").Desk} desk */
  constructor(desk) {
    this.desk = desk;
    this.score = desk.score;
    this.bars = /** @type {HTMLElement[]} */ ([...document.querySelectorAll("button[data-bar]")]);
    this.events = /** @type {HTMLElement[]} */ ([...document.querySelectorAll("span[data-event]")]);
    this.shown = { chord: -2, next: -2, bar: -2, beat: -2, event: -2 };
    for (const event of this.events) event.style.flexGrow = event.dataset.length || "1";
    this.labels = this.bars.map((button) => button.getAttribute("aria-label") || "");
    desk.addEventListener("change", () => this.controls());
  }

  get player() {
    return this.desk.player;
  }

  /** Follow the player until the page is closed. */
  start() {
    this.controls();
    const frame = () => {
      this.follow();
      requestAnimationFrame(frame);
    };
    frame();
  }

  /** Show what changes with time. */
  follow() {
    const where = this.player.where();
    const held = where.event < 0 ? -1 : (this.score.events[where.event].chord ?? -1);
    const next = this.next(where.event, where.place, held);
    this.change("chord", held, () => this.chord("", held));
    this.change("next", next, () => this.chord("next-", next));
    this.change("bar", where.bar, () => this.bar(where.bar));
    const beat = where.count ? -where.count : this.beat(where.bar, where.place);
    this.change("beat", beat, () => this.beats(where.bar, beat));
    this.change("event", where.event, () => {
      for (const event of this.events) {
        event.classList.toggle("now", event.dataset.event === String(where.event));
      }
    });
    const state = document.body.dataset;
    state.state = this.player.playing ? (where.count ? "counting" : "playing") : "stopped";
    Object.assign(state, { bar: where.bar + 1, event: where.event, round: where.round });
  }

  /** @param {"chord" | "next" | "bar" | "beat" | "event"} what @param {number} value
   * @param {() => void} show */
  change(what, value, show) {
    if (this.shown[what] === value) return;
    this.shown[what] = value;
    show();
  }

  /** The next chord that asks for another grip; in a loop, round its end.
   * @param {number} event @param {number} place @param {number} held */
  next(event, place, held) {
    const { span, looping } = this.player;
    const grip = held < 0 ? null : this.score.chords[held].grip;
    const inside = this.score.events.filter(
      (one) => !looping || (one.bar >= span.first && one.bar <= span.last),
    );
    const here = event < 0 ? place - 1e-6 : this.score.events[event].start;
    const later = inside.filter((one) => one.start > here);
    const round = looping ? [...later, ...inside] : later;
    const found = round.find((one) => {
      const coming = one.chord === null ? null : this.score.chords[one.chord].grip;
      return coming !== null && coming !== grip;
    });
    return found?.chord ?? -1;
  }

  /** @param {"" | "next-"} where @param {number} chord */
  chord(where, chord) {
    const one = chord < 0 ? null : this.score.chords[chord];
    const grip = one?.grip ?? null;
    byId(`${where}grip`).replaceChildren(...(grip === null ? [] : [copied(`grip-${grip}`)]));
    byId(`${where}symbol`).replaceChildren(...(one ? [copied(`symbol-${chord}`)] : []));
    if (!where) byId("words").textContent = one ? one.words : "";
  }

  /** @param {number} bar */
  bar(bar) {
    const one = this.score.bars[bar];
    byId("part").textContent = one.visit > 1 ? `${one.part}, time ${one.visit}` : one.part;
    byId("bar").textContent = `bar ${one.number} of ${one.bars}`;
    this.bars.forEach((button, index) => {
      button.classList.toggle("now", index === bar);
      button.tabIndex = index === bar ? 0 : -1;
      if (index === bar) button.setAttribute("aria-current", "true");
      else button.removeAttribute("aria-current");
    });
    if (this.player.playing) {
      this.bars[bar].scrollIntoView({ block: "nearest" });
    }
  }

  /** Which beat of a bar holds a place, from 1. @param {number} bar @param {number} place */
  beat(bar, place) {
    const { start, beats } = this.score.bars[bar];
    return beats.filter((beat) => start + beat <= place + 1e-6).length;
  }

  /** @param {number} bar @param {number} beat below 0: counting in */
  beats(bar, beat) {
    const { beats, counted } = this.score.bars[bar];
    const many = beat < 0 ? counted : beats.length;
    const now = beat < 0 ? ((-beat - 1) % counted) + 1 : beat;
    byId("beats").replaceChildren(
      ...Array.from({ length: many }, (_, index) => {
        const mark = document.createElement("span");
        mark.textContent = String(index + 1);
        mark.className = this.player.playing && index + 1 === now ? "now" : "";
        return mark;
      }),
    );
  }

  /** Show what the user chose. */
  controls() {
    const { player, score } = this;
    this.shown.beat = -2;
    byId("play").textContent = player.playing ? "Stop" : "Play";
    const tempo = /** @type {HTMLInputElement} */ (byId("tempo"));
    tempo.min = String(player.slowest);
    tempo.max = String(player.fastest);
    tempo.value = String(player.tempo);
    const bpm = Math.round((score.bpm * player.tempo) / 100);
    const taken = player === this.desk.taken;
    const [shown, said] = taken
      ? [" of the take", " of the take's speed"]
      : [`, ${bpm} a minute`, `, ${bpm} beats a minute`];
    byId("tempo-text").textContent = `${player.tempo} %${shown}`;
    tempo.setAttribute("aria-valuetext", `${player.tempo} percent${said}`);
    this.pressed("counting", player.counting, player.countsIn);
    this.pressed("clicking", player.clicking, player.countsIn);
    this.pressed("plucked", player === this.desk.plucked);
    this.pressed("taken", taken);
    this.pressed("loop-off", !player.looping);
    const text = player.looping ? this.loopText() : "the whole song, once";
    byId("loop").textContent = player.trouble ? `${text}. ${player.trouble}` : text;
    this.bars.forEach((button, index) => {
      const inside = index >= player.span.first && index <= player.span.last;
      button.classList.toggle("looped", player.looping && inside);
      const missing = !player.has(index);
      button.classList.toggle("missing", missing);
      button.setAttribute("aria-label", this.labels[index] + (missing ? ", not in the take" : ""));
    });
    byId("words").setAttribute("aria-live", player.playing ? "off" : "polite");
    Object.assign(document.body.dataset, {
      tempo: player.tempo,
      sound: taken ? "taken" : "plucked",
      loop: player.looping ? `${player.span.first + 1}-${player.span.last + 1}` : "",
    });
  }

  loopText() {
    const { first, last } = this.player.span;
    const [from, to] = [this.score.bars[first], this.score.bars[last]];
    if (first === last) return `${from.part} bar ${from.number}, over and over`;
    const end = from.part === to.part ? `${to.number}` : `${to.part} bar ${to.number}`;
    return `${from.part} bar ${from.number} to ${end}, over and over`;
  }

  /** Show a button as pressed or not, if the page has it. @param {string} id
   * @param {boolean} on @param {boolean} [offered] */
  pressed(id, on, offered = true) {
    const button = /** @type {HTMLButtonElement | null} */ (document.getElementById(id));
    button?.setAttribute("aria-pressed", String(on));
    if (button) button.disabled = !offered;
  }
}
