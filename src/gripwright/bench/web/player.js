// Play the open lesson: sounds are handed to the audio clock a little ahead of their time.
import { signal } from "./vendor/signals.js";
import { aboutLesson, lesson, tell } from "./state.js";
import { clock, hush, strum } from "./sound.js";

const AHEAD_S = 0.25;
const LEAD_S = 0.12;

export const playing = signal(false);
/** The chord that sounds now. */
export const now = signal(/** @type {{part: number, bar: number, event: number} | null} */ (null));
/** @type {ReturnType<typeof setInterval> | undefined} */
let timer;

export function stopPlaying() {
  clearInterval(timer);
  hush();
  playing.value = false;
  now.value = null;
}

/** Play from a chord of the chart, or from the start. @param {{part: number, bar: number, event: number} | null} from */
export async function play(from) {
  stopPlaying();
  const open = lesson.value;
  if (!open) return;
  try {
    const answer = await aboutLesson("play");
    if (!answer) return;
    begin(answer, from);
  } catch (error) {
    tell(error);
  }
}

/** @param {any} answer @param {{part: number, bar: number, event: number} | null} from */
function begin({ sounds, events, seconds }, from) {
  const audio = clock();
  const first = events.find((/** @type {any} */ event) => from && event.part === from.part && event.bar === from.bar && event.event === from.event);
  const start = first?.start_s ?? 0;
  const zero = audio.currentTime + LEAD_S - start;
  let next = sounds.findIndex((/** @type {number[]} */ sound) => sound[0] >= start - 0.01);
  if (next < 0) next = sounds.length;
  playing.value = true;
  timer = setInterval(() => {
    const at = audio.currentTime - zero;
    while (next < sounds.length && sounds[next][0] < at + AHEAD_S) {
      const [begins, , midi, loud] = sounds[next];
      strum([midi], { at: Math.max(audio.currentTime, zero + begins), loud: 0.3 * loud });
      next += 1;
    }
    now.value = events.findLast((/** @type {any} */ event) => event.start_s <= at + 0.02) ?? null;
    if (at > seconds + 0.5) stopPlaying();
  }, 40);
}
