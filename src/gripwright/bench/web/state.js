// What the bench holds: the instrument under the hand, the open lesson, what was done to it.
import { batch, computed, signal } from "./vendor/signals.js";
import * as api from "./api.js";
import { gripText, readGrip, STANDARD, tuningMidi } from "./music.js";
import { inTurn } from "./turn.js";
import { go, place } from "./url.js";

/** @typedef {{symbol: string, runs: {text: string, raised: boolean}[], harte: string, root: string, bass: string, quality?: string, tones: {string: number, fret: number, midi?: number, note: string, degree: string, place?: string}[], omits: string[], why: string[], weight: number}} Reading */
/** @typedef {{path: string, title: string}} LessonName */

export const notice = signal(/** @type {{text: string, remedy?: string, tone: "calm" | "wrong"} | null} */ (null));
export const lessons = signal(/** @type {LessonName[]} */ ([]));
export const takes = signal(/** @type {string[]} */ ([]));
export const captions = signal(/** @type {string[]} */ ([]));
export const pictures = signal(/** @type {string[]} */ ([]));
export const lesson = signal(/** @type {any} */ (null));
export const opening = signal(false);
export const leftHanded = signal(localStorage.getItem("bench-left-handed") === "yes");
export const tuning = signal(STANDARD);
export const capo = signal(0);
export const frets = signal(/** @type {(number | null)[]} */ (Array(6).fill(null)));
export const selected = signal(/** @type {{part: number, bar: number, event: number} | null} */ (null));

export const openMidi = computed(() => (tuningMidi(tuning.value) ?? []).map((midi) => midi + capo.value));
export const sounding = computed(() => frets.value.flatMap((fret, index) => (fret === null ? [] : [openMidi.value[index] + fret])));
export const grip = computed(() => gripText(frets.value));

/** Say something to the teacher; wrong things stay until they are read. @param {unknown} error */
export function tell(error) {
  const remedy = error instanceof api.Refusal ? error.remedy : "";
  const text = error instanceof Error ? error.message : String(error);
  notice.value = { text, remedy, tone: error instanceof Error ? "wrong" : "calm" };
}

/** Which way round the neck is drawn, remembered in this browser. @param {boolean} left */
export function setLeftHanded(left) {
  leftHanded.value = left;
  localStorage.setItem("bench-left-handed", left ? "yes" : "no");
}

/** Put a grip on the neck and into the address. @param {(number | null)[]} next */
export function setFrets(next) {
  frets.value = next;
  go({ grip: next.some((fret) => fret !== null) ? gripText(next) : "" }, true);
}

/** @param {number} index @param {number | null} fret */
export function setFret(index, fret) {
  setFrets(frets.peek().map((old, at) => (at === index ? fret : old)));
}

/** Change the instrument; the grip stays where it still fits. @param {string} text */
export function setTuning(text) {
  const midi = tuningMidi(text);
  if (!midi) return false;
  batch(() => {
    tuning.value = text.trim();
    if (frets.peek().length !== midi.length) frets.value = Array(midi.length).fill(null);
  });
  return true;
}

/** Show a grip that came from elsewhere, in text. @param {string} text */
export function showGrip(text) {
  const { frets: read } = readGrip(text, openMidi.peek().length);
  if (read) setFrets(read);
}

/** Follow the address: the grip and the lesson that it names. */
export function followAddress() {
  if (place.value.grip && place.value.grip !== grip.peek()) showGrip(place.value.grip);
  if (place.value.lesson !== (lesson.peek()?.path ?? "")) void openLesson(place.value.lesson);
}

export async function refreshFolder() {
  const answer = await api.get("folder");
  batch(() => {
    lessons.value = answer.lessons;
    takes.value = answer.takes;
    captions.value = answer.captions;
    pictures.value = answer.pictures;
  });
}

/** @param {string} path */
export async function openLesson(path) {
  if (!path) {
    lesson.value = null;
    return;
  }
  opening.value = true;
  try {
    const answer = await api.get("lesson", { path });
    batch(() => {
      lesson.value = answer;
      selected.value = null;
      if (answer.tuning) setTuning(answer.tuning);
      if (answer.capo !== null && answer.capo !== undefined) capo.value = answer.capo;
    });
    if (place.peek().grip && place.peek().grip !== grip.peek()) showGrip(place.peek().grip);
  } catch (error) {
    tell(error);
  } finally {
    opening.value = false;
  }
}

/** Take in an event of the bench. @param {any} event */
export function refreshOnEvent(event) {
  if (event.kind === "reload" || event.kind === "folder" || event.kind === "hello") refreshFolder().catch(tell);
  const open = lesson.peek();
  const missed = event.kind === "hello" || event.kind === "reload";
  const changed = event.kind === "changed" && event.path === open?.path && event.sha256 !== open?.sha256;
  if (open && (missed || changed)) void inTurn(async () => { if (missed || lesson.peek()?.sha256 !== event.sha256) await followDisk(open.path); });
}

/**
 * Ask about the open lesson. The answer is about the text that the window shows: where the disk
 * has moved on, the window follows it and asks again. Null when another lesson was opened meanwhile.
 * @param {string} question @param {object} [more] @returns {Promise<any>}
 */
export async function aboutLesson(question, more) {
  for (;;) {
    const path = lesson.peek()?.path;
    const answer = path ? await api.post(question, { path, ...more }) : null;
    if (!answer || lesson.peek()?.path !== path) return null;
    if (answer.sha256 === lesson.peek().sha256) return answer;
    await inTurn(() => followDisk(path));
  }
}

/** @param {string} path */
async function followDisk(path) {
  try {
    let before;
    let answer;
    do { // an edit of this window that came in between is newer: look again
      before = lesson.peek();
      answer = await api.get("lesson", { path });
    } while (lesson.peek() !== before);
    if (before?.path !== path || answer.sha256 === before.sha256) return;
    const at = selected.peek();
    batch(() => {
      lesson.value = answer;
      const kept = at && answer.parts[at.part]?.bars[at.bar]?.events[at.event];
      if (!kept) selected.value = null;
    });
  } catch (error) {
    tell(error);
  }
}
