// Find a grip: the neck large, its name above it, the other readings a step away.
import { useEffect } from "../vendor/hooks.js";
import { signal } from "../vendor/signals.js";
import { html } from "../html.js";
import { readGrip } from "../music.js";
import { Neck } from "../neck.js";
import { capo, frets, grip, leftHanded, openMidi, setFrets, setLeftHanded, setTuning, sounding, tell, tuning } from "../state.js";
import { prepare, strum, whenTouched } from "../sound.js";
import { Ask } from "./ask.js";
import { named, nameNow, Readings, tones } from "./readings.js";

const typedProblem = signal("");
const underCursor = signal("");

/** The grip as text: typing it is as good as clicking it. */
function Typed() {
  /** @param {string} text */
  const read = (text) => {
    const { frets: next, problem } = readGrip(text, frets.value.length);
    typedProblem.value = problem ?? "";
    if (!next) return;
    setFrets(next);
    strum(sounding.value);
  };
  return html`<label class="typed">Grip, bass side first
    <input class="grip-text" value=${grip.value} spellcheck="false" autocomplete="off" aria-invalid=${typedProblem.value !== ""} aria-describedby="typed-problem"
      onChange=${(/** @type {any} */ e) => read(e.currentTarget.value)} />
    <span id="typed-problem" class="problem">${typedProblem.value}</span></label>`;
}

function Instrument() {
  const wrong = signal("");
  return html`<div class="instrument">
    <label>Tuning, bass side first
      <input class="tuning-text" value=${tuning.value} spellcheck="false" aria-describedby="tuning-problem"
        onChange=${(/** @type {any} */ e) => { wrong.value = setTuning(e.currentTarget.value) ? "" : "Give 4 to 8 notes with octaves: E2 A2 D3 G3 B3 E4"; }} />
      <span id="tuning-problem" class="problem">${wrong}</span></label>
    <label>Capo
      <input class="capo" type="number" min="0" max="12" value=${capo.value} onChange=${(/** @type {any} */ e) => { capo.value = Math.min(12, Math.max(0, Math.round(Number(e.currentTarget.value)) || 0)); }} /></label>
    <label class="check"><input type="checkbox" checked=${leftHanded.value} onChange=${(/** @type {any} */ e) => setLeftHanded(e.currentTarget.checked)} /> Left-handed</label>
  </div>`;
}

/** The teaching sentence for the note under the cursor. @param {number} string */
async function teach(string) {
  const tone = tones.value.find((/** @type {any} */ t) => t.string === string);
  underCursor.value = tone?.place ?? "";
}

export function GripView() {
  useEffect(() => { whenTouched(() => prepare(openMidi.value.flatMap((open) => [0, 1, 2, 3, 4, 5, 6, 7, 8].map((fret) => open + fret)))); }, [openMidi.value]);
  useEffect(() => { nameNow().catch(tell); }, [grip.value, tuning.value, capo.value]);
  return html`<section class="grip-view" aria-label="Find a grip">
    <${Readings} />
    <${Neck} tones=${tones.value} onCursor=${teach} />
    <p class="place-words">${underCursor.value || named.value?.hold?.words || "\u00a0"}</p>
    ${named.value?.hold?.trouble ? html`<p class="problem" role="status">${named.value.hold.trouble}</p>` : null}
    <div class="tray"><div class="by-hand"><${Typed} /><${Instrument} />
      <div class="actions"><button type="button" onClick=${() => strum(sounding.value)}>Hear it</button>
        <button type="button" class="quiet" onClick=${() => setFrets(frets.value.map(() => null))}>Clear</button></div></div>
      <${Ask} /></div>
  </section>`;
}
