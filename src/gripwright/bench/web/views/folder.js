// The folder: open a lesson or start one.
import { signal } from "../vendor/signals.js";
import * as api from "../api.js";
import { html } from "../html.js";
import { lessons, opening, refreshFolder, tell, tuning } from "../state.js";
import { go, place } from "../url.js";

const title = signal("");

async function start() {
  try {
    const answer = await api.post("new", { title: title.value.trim() || "Untitled lesson", tuning: tuning.value });
    await refreshFolder();
    title.value = "";
    go({ lesson: answer.path, view: place.value.view === "grip" ? "changes" : place.value.view });
  } catch (error) {
    tell(error);
  }
}

export function Folder() {
  if (opening.value) return html`<p class="loading" role="status">Opening the lesson…</p>`;
  return html`<section class="folder" aria-label="Lessons in this folder"><h1>${lessons.value.length ? "Open a lesson" : "A clean desk"}</h1>
    ${lessons.value.length ? null : html`<p>There is no lesson in this folder yet. Give the first one a title; it is a plain text file that stays yours.</p>`}
    <ul class="lesson-list">${lessons.value.map(({ path, title: name }) => html`<li><button type="button" onClick=${() => go({ lesson: path })}><strong>${name}</strong><span class="quiet-word">${path}</span></button></li>`)}</ul>
    <form onSubmit=${(/** @type {Event} */ e) => { e.preventDefault(); void start(); }}>
      <label>Title of a new lesson <input value=${title.value} onInput=${(/** @type {any} */ e) => { title.value = e.currentTarget.value; }} /></label>
      <button type="submit">Start it</button></form></section>`;
}
