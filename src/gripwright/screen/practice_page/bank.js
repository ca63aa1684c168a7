// The bank: one recorded string sound a pitch, cut from one stretch of sound, and the click.

const RELEASE_S = 0.06;

export class Bank {
  /** @param {AudioContext} context @param {Record<string, [number, number]>} places */
  constructor(context, places) {
    this.context = context;
    this.places = places;
    /** @type {AudioBuffer | null} */
    this.sound = null;
    this.out = context.createDynamicsCompressor();
    this.out.connect(context.destination);
  }

  /** Decode the sound that the page carries. */
  async load() {
    const text = /** @type {HTMLElement} */ (document.getElementById("bank")).textContent || "";
    const bytes = Uint8Array.from(atob(text.trim()), (letter) => letter.charCodeAt(0));
    this.sound = await this.context.decodeAudioData(bytes.buffer);
  }

  /**
   * Sound one note at a time of the audio clock, for so many seconds.
   * @param {import("./score.js").Note} note @param {number} when @param {number} seconds
   */
  strike(note, when, seconds) {
    const [from, longest] = this.places[note.midi];
    const held = Math.min(note.soft ? 0.12 : seconds, longest);
    const source = new AudioBufferSourceNode(this.context, { buffer: this.sound });
    const gain = new GainNode(this.context, { gain: 0 });
    gain.gain.setValueAtTime(note.loud, when);
    gain.gain.setValueAtTime(note.loud, when + held);
    gain.gain.linearRampToValueAtTime(0, when + held + RELEASE_S);
    this.bend(source.detune, note, when, held);
    source.connect(gain).connect(this.out);
    source.start(when, from, longest);
    source.stop(when + held + RELEASE_S);
    return source;
  }

  /** Slide in from another pitch, rise to the top of a bend. @param {AudioParam} cents
   * @param {import("./score.js").Note} note @param {number} when @param {number} held */
  bend(cents, note, when, held) {
    cents.setValueAtTime(100 * (note.from - note.midi), when);
    cents.linearRampToValueAtTime(0, when + Math.min(0.09, held / 2));
    if (note.rise) cents.linearRampToValueAtTime(100 * note.rise, when + held / 2);
  }

  /** Click once. @param {number} when @param {boolean} first the first beat of a bar */
  click(when, first) {
    const source = new OscillatorNode(this.context, { frequency: first ? 1480 : 1110 });
    const gain = new GainNode(this.context, { gain: 0 });
    gain.gain.setValueAtTime(0.22, when);
    gain.gain.exponentialRampToValueAtTime(0.001, when + 0.05);
    source.connect(gain).connect(this.out);
    source.start(when);
    source.stop(when + 0.06);
    return source;
  }
}
