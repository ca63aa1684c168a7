// What a lesson is proved and published with: files of the folder and how its films look. Each
// lesson's own, remembered in this browser.
import { computed, effect, signal } from "./vendor/signals.js";
import { lesson, takes } from "./state.js";

/**
 * Names of files, "" for none. `background` is a colour or a picture, `plate` percent of the height.
 * @typedef {{take: string, cut: string, captions: string, background: string, film: boolean, corner: string, plate: string}} Beside
 */

const KEY = "bench-beside";
/** @type {Beside} */
const NONE = { take: "", cut: "", captions: "", background: "", film: true, corner: "", plate: "" };
const FILMS = /\.(mp4|mov|mkv|webm)$/i;

/** @returns {Record<string, Partial<Beside>>} */
function stored() {
  try {
    return JSON.parse(localStorage.getItem(KEY) ?? "{}");
  } catch {
    return {};
  }
}

const all = signal(stored());
effect(() => localStorage.setItem(KEY, JSON.stringify(all.value)));

/** What is chosen for the open lesson. */
export const beside = computed(() => ({ ...NONE, ...all.value[lesson.value?.path ?? ""] }));
/** Whether the take, or the cut of it, may have a picture. */
export const filmed = computed(() => FILMS.test(beside.value.cut || beside.value.take));
/** The one take in the folder that is named as the lesson is, offered first. */
export const takesFirst = computed(() => {
  const stem = (lesson.value?.path ?? "").replace(/\.md$/, "");
  return [...takes.value].sort((a, b) => Number(b.startsWith(stem)) - Number(a.startsWith(stem)));
});

/** @param {Partial<Beside>} change */
export function choose(change) {
  const path = lesson.peek()?.path;
  if (path) all.value = { ...all.value, [path]: { ...all.value[path], ...change } };
}

/** The fields that are chosen among some. @param {Record<string, unknown>} fields */
const given = (fields) => Object.fromEntries(Object.entries(fields).filter(([, value]) => value !== "" && value !== undefined));

/** What to ask of the proof; nothing where nothing is chosen. */
export const proofWith = computed(() => {
  const { take, cut, captions } = beside.value;
  return given({ take, cut: take && cut, captions });
});

/** What to ask of a build. */
export const buildWith = computed(() => {
  const { take, cut, background, film, corner, plate } = beside.value;
  const look = filmed.value && take ? { film: film ? undefined : false, corner: film ? corner : "", plate: film && plate ? Number(plate) / 100 : "" } : {};
  return given({ take, cut: take && cut, background, ...look });
});
