// Record a take in the page: the browser's voice processing is switched off.
import { signal } from "./vendor/signals.js";
import { html } from "./html.js";
import { tell } from "./state.js";

/** @type {MediaRecorder | null} */
let recorder = null;
const running = signal(false);

/** @param {(files: any) => void} kept */
async function start(kept) {
  try {
    const stream = await navigator.mediaDevices.getUserMedia({ audio: { echoCancellation: false, noiseSuppression: false, autoGainControl: false } });
    /** @type {Blob[]} */
    const chunks = [];
    recorder = new MediaRecorder(stream);
    recorder.ondataavailable = (event) => chunks.push(event.data);
    recorder.onstop = () => {
      for (const track of stream.getTracks()) track.stop();
      const stamp = new Date().toISOString().slice(0, 19).replace(/[:T]/g, "-");
      kept([new File(chunks, `take-${stamp}.${recorder?.mimeType.includes("ogg") ? "ogg" : "webm"}`)]);
    };
    recorder.start();
    running.value = true;
  } catch (error) {
    tell(new Error(`No recording: ${error instanceof Error ? error.message : error}. Allow the microphone in the browser and try again`));
  }
}

function stop() {
  recorder?.stop();
  running.value = false;
}

/** @param {{kept: (files: any) => void}} props */
export function Recorder({ kept }) {
  return html`<button type="button" aria-pressed=${running.value} class="quiet" onClick=${() => (running.value ? stop() : void start(kept))}>${running.value ? "Stop recording" : "Record a take"}</button>`;
}
