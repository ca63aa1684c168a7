// Listen: a record that is being learned, or a take of one's own, never sent anywhere.
import { useEffect } from "../vendor/hooks.js";
import * as api from "../api.js";
import { html } from "../html.js";
import { longWork, working } from "../jobs.js";
import { at, busy, events, how, laid, loaded, reach, span, told } from "../listening.js";
import { pretty } from "../music.js";
import { Recorder } from "../recorder.js";
import { capo, grip, lesson, refreshFolder, showGrip, sounding, takes, tuning } from "../state.js";
import { clock, strum } from "../sound.js";
import { go, place } from "../url.js";
import { Busy } from "./busy.js";
import { Events, Now, Wave } from "./wave.js";

/** @type {AudioBufferSourceNode | null} */
let playing = null;

/** @param {string} name */
const open = (name) => working(busy, "Reading the recording…", async () => {
  const [about, data] = await Promise.all([api.get("take", { path: name }), api.bytes("audio", { path: name })]);
  loaded.value = { name, ...about, buffer: await clock().decodeAudioData(data) };
  span.value = { from: 0, to: about.seconds };
  reach();
  events.value = [];
  told.value = null;
});

/** @param {FileList | null | undefined} files */
const drop = (files) => working(busy, "Copying it into the folder…", async () => {
  const file = files?.[0];
  if (!file) return;
  const answer = await api.send("take", { name: file.name }, file);
  await refreshFolder();
  go({ at: answer.path, from: "" });
});

/** @type {ReturnType<typeof setInterval> | undefined} */
let clockwork;

function stop() {
  playing?.stop();
  playing = null;
  clearInterval(clockwork);
  at.value = -1;
}

/** Say which chord of a followed take sounds now. @param {number} began @param {number} speed @param {{from: number, to: number}} part */
function follow(began, speed, part) {
  clockwork = setInterval(() => {
    const second = part.from + (((clock().currentTime - began) * speed) % Math.max(0.01, part.to - part.from));
    at.value = events.value.findLastIndex((event) => event.start_s <= second);
  }, 50);
}

/** Loop the chosen span, slowed or retuned by the library. */
const loop = () => working(busy, "Preparing the loop…", async () => {
  stop();
  const take = loaded.value;
  if (!take) return;
  const { from, to } = span.value;
  const { speed, cents, band, under } = how.value;
  const plain = speed === 100 && cents === 0 && band === "whole" && !under;
  /** @type {Record<string, string>} */
  const beneath = under && sounding.value.length > 1 ? { grip: grip.value, tuning: tuning.value, capo: String(capo.value) } : {};
  const query = { path: take.name, speed: String(speed), cents: String(cents), band, from: String(from), to: String(to), ...beneath };
  const audio = clock();
  const buffer = plain ? take.buffer : await audio.decodeAudioData(await api.bytes("audio", query));
  playing = audio.createBufferSource();
  playing.buffer = buffer;
  playing.loop = true;
  if (plain) [playing.loopStart, playing.loopEnd] = [from, to];
  playing.connect(audio.destination);
  playing.start(0, plain ? from : 0);
  follow(audio.currentTime, speed / 100, { from, to });
});

const listenTo = () => working(busy, "Listening…", async () => {
  const { from, to } = span.value;
  told.value = await api.post("span", { path: loaded.value?.name, from_s: from, to_s: to, tuning: tuning.value, capo: capo.value });
});

const hearAll = () => longWork(busy, "Listening to the whole take…", async (job) => {
  const name = loaded.value?.name;
  const answer = await api.post("hear", { job, path: name, tuning: tuning.value, capo: capo.value });
  if (loaded.value?.name !== name) return; // another one was opened meanwhile
  told.value = answer;
  events.value = answer.chords.map((/** @type {any} */ chord) => ({ start_s: chord.start_s, end_s: chord.end_s, label: pretty(chord.harte ?? "") }));
});

const sync = () => longWork(busy, "Following the lesson through the take…", async (job) => {
  const [name, { path }] = [loaded.value?.name, lesson.value];
  const answer = await api.post("sync", { job, path: name, lesson: path });
  if (loaded.value?.name !== name || lesson.value?.path !== path) return;
  told.value = answer;
  events.value = laid(answer.events);
});

/** @param {{name: "from" | "to", text: string}} props */
function Edge({ name, text }) {
  return html`<label>${text} <input class="small" type="number" step="0.05" min="0" value=${span.value[name].toFixed(2)}
    onChange=${(/** @type {any} */ e) => { span.value = { ...span.value, [name]: Number(e.currentTarget.value) }; }} /> s</label>`;
}

function Tools() {
  const set = (/** @type {object} */ change) => { how.value = { ...how.value, ...change }; };
  return html`<div class="tools"><${Edge} name="from" text="From" /><${Edge} name="to" text="to" />
    <label>Speed <input type="range" min="30" max="100" step="5" value=${how.value.speed} onInput=${(/** @type {any} */ e) => set({ speed: Number(e.currentTarget.value) })} /> ${how.value.speed} %</label>
    <label>Retune <input class="small" type="number" min="-100" max="100" value=${how.value.cents} onChange=${(/** @type {any} */ e) => set({ cents: Number(e.currentTarget.value) })} /> cents</label>
    <label>Hear <select onChange=${(/** @type {any} */ e) => set({ band: e.currentTarget.value })}><option value="whole">all of it</option><option value="bass">the bass</option><option value="centre">the centre</option><option value="sides">the sides</option></select></label>
    <label class="check"><input type="checkbox" checked=${how.value.under} onChange=${(/** @type {any} */ e) => set({ under: e.currentTarget.checked })} /> Strum my grip beneath</label>
    <button type="button" class="loop" onClick=${loop}>Loop</button><button type="button" class="quiet" onClick=${stop}>Stop</button>
    <button type="button" class="quiet" onClick=${listenTo}>What sounds here</button><button type="button" class="quiet" disabled=${busy.value.id !== ""} onClick=${hearAll}>Hear it all</button>
    ${lesson.value ? html`<button type="button" class="quiet" disabled=${busy.value.id !== ""} onClick=${sync}>Follow the lesson</button>` : null}
    <button type="button" class="quiet" onClick=${() => strum(sounding.value)}>The grip on the neck</button></div>`;
}

/** @param {{text: string, grip: string | null, note: string}} props */
function Heard({ text, grip: held, note }) {
  return html`<li><button type="button" class="found" onClick=${() => { if (held) { showGrip(held); strum(sounding.value); } }}>
    <span>${pretty(text)}</span><span class="grip-text">${held ?? "no grip found"}</span><span class="share">${note}</span></button></li>`;
}

function Told() {
  const answer = told.value;
  if (!answer) return null;
  const names = (answer.readings ?? []).map((/** @type {any} */ reading) => pretty(reading.symbol ?? "")).filter(Boolean);
  return html`<section class="told" aria-live="polite">
    ${answer.tempo_bpm ? html`<p>About ${Math.round(answer.tempo_bpm)} beats a minute${answer.tempo_also?.length ? ` (or ${answer.tempo_also.map(Math.round).join(", ")})` : ""}${answer.key ? `, in ${pretty(answer.key)}` : ""}</p>` : null}
    ${answer.notes ? html`<p>${answer.notes.length ? `Sounding here: ${answer.notes.map(pretty).join(" ")}${names.length ? `, perhaps ${names.join(" or ")}` : ""}` : "No pitch stands out here"}</p>` : null}
    <ul class="found-list">${(answer.grips ?? []).map((/** @type {string} */ held) => html`<${Heard} text="" grip=${held} note="would sound so" />`)}
      ${(answer.chords ?? []).slice(0, 80).map((/** @type {any} */ chord) => html`<${Heard} text=${chord.harte ?? ""} grip=${chord.grip} note=${`${chord.start_s.toFixed(2)} s`} />`)}</ul>
    ${(answer.disagreements ?? []).length ? html`<h3>Where sound and chart differ</h3><ul>${answer.disagreements.map((/** @type {any} */ differ) => html`<li><button type="button" class="quiet" onClick=${() => { span.value = { from: differ.start_s, to: differ.start_s + 2 }; }}>${pretty(differ.text)}</button></li>`)}</ul>` : null}
    ${answer.events && !(answer.disagreements ?? []).length ? html`<p>The take follows the chart.</p>` : null}</section>`;
}

export function ListenView() {
  useEffect(() => { if (place.value.at && place.value.at !== loaded.value?.name) void open(place.value.at); return stop; }, [place.value.at]);
  useEffect(() => { if (place.value.at === loaded.value?.name) reach(); }, [place.value.at, place.value.from]);
  return html`<section class="listen-view" aria-label="Listen" onDragOver=${(/** @type {Event} */ e) => e.preventDefault()}
      onDrop=${(/** @type {DragEvent} */ e) => { e.preventDefault(); void drop(e.dataTransfer?.files); }}>
    <h1>${loaded.value ? loaded.value.name : "Listen"}</h1>
    <div class=${loaded.value ? "" : "landing"}>${loaded.value ? null : html`<p class="landing-words">Drop a record or a take here</p>`}
    <p class="quiet-word">It stays in this folder on this machine. A record is never put into a pack.</p>
    <div class="actions"><label class="file">Choose a recording<input type="file" accept="audio/*,video/*" onChange=${(/** @type {any} */ e) => { void drop(e.currentTarget.files); }} /></label>
      ${takes.value.length ? html`<label>In the folder <select value=${place.value.at} onChange=${(/** @type {any} */ e) => go({ at: e.currentTarget.value, from: "" })}><option value="">choose</option>${takes.value.map((name) => html`<option value=${name}>${name}</option>`)}</select></label>` : null}
      <${Recorder} kept=${drop} /></div></div>
    <${Busy} of=${busy} />
    <${Wave} /><${Now} />${loaded.value ? html`<${Tools} />` : null}<${Events} /><${Told} /></section>`;
}
