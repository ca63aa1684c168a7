// Choose what a lesson is published with: a take, its cut, captions; how the films look.
import { beside, choose, filmed, takesFirst } from "../beside.js";
import { html } from "../html.js";
import { captions, pictures } from "../state.js";

const CORNERS = [["", "top left"], ["top-right", "top right"], ["bottom-left", "bottom left"], ["bottom-right", "bottom right"]];

/** A file of the folder; one that has gone is still named. @param {{name: string, field: "take" | "cut" | "captions", files: string[], disabled?: boolean}} props */
function File({ name, field, files, disabled = false }) {
  const chosen = beside.value[field];
  const gone = chosen && !files.includes(chosen) ? [chosen] : [];
  return html`<label>${name}<select disabled=${disabled} value=${chosen} onChange=${(/** @type {any} */ e) => choose({ [field]: e.currentTarget.value })}>
    <option value="">none</option>
    ${files.map((file) => html`<option value=${file} selected=${file === chosen}>${file}</option>`)}
    ${gone.map((file) => html`<option value=${file} selected>${file}, no longer there</option>`)}</select></label>`;
}

/** The files that go with the lesson, folded away until one is wanted. */
export function Files() {
  const { take, cut, captions: cues } = beside.value;
  const names = [take, take && cut, cues].filter(Boolean);
  return html`<details class="more"><summary>${names.length ? `With ${names.join(", ")}` : "With a take, its published cut, captions"}</summary>
    <div class="chosen"><${File} name="Take" field="take" files=${takesFirst.value} />
      <${File} name="Published cut of it" field="cut" files=${takesFirst.value.filter((file) => file !== take)} disabled=${!take} />
      <${File} name="Captions" field="captions" files=${captions.value} /></div>
    <p class="hint">Files of this folder. The proof listens to the take, and the films of the pack follow it; with a cut, they follow that.</p></details>`;
}

function Background() {
  const { background } = beside.value;
  const colour = background.startsWith("#");
  return html`<label>Behind the grips<select value=${colour ? "#" : background} onChange=${(/** @type {any} */ e) => choose({ background: e.currentTarget.value === "#" ? "#1d2433" : e.currentTarget.value })}>
      <option value="">paper</option><option value="#" selected=${colour}>a colour</option>
      ${pictures.value.map((file) => html`<option value=${file} selected=${file === background}>${file}</option>`)}</select></label>
    ${colour ? html`<label>Colour<input type="color" value=${background} onChange=${(/** @type {any} */ e) => choose({ background: e.currentTarget.value })} /></label>` : null}`;
}

/** The take's own picture with the grips laid on it. */
function Film() {
  const { film, corner, plate } = beside.value;
  return html`<label class="check"><input type="checkbox" checked=${film} onChange=${(/** @type {any} */ e) => choose({ film: e.currentTarget.checked })} /> Lay the grips on my film too</label>
    ${film ? html`<label>In the corner<select value=${corner} onChange=${(/** @type {any} */ e) => choose({ corner: e.currentTarget.value })}>
        ${CORNERS.map(([value, name]) => html`<option value=${value} selected=${value === corner}>${name}</option>`)}</select></label>
      <label>Height, % of the picture<input class="small" type="number" min="25" max="90" placeholder="as fits" value=${plate} onChange=${(/** @type {any} */ e) => { if (e.currentTarget.reportValidity()) choose({ plate: e.currentTarget.value }); }} /></label>` : null}`;
}

/** How the films of the pack look, folded away until something is wanted. */
export function Look() {
  const { background, film, corner, plate } = beside.value;
  const words = [background && `on ${background}`, filmed.value && (film ? [corner.replace("-", " "), plate && `${plate} %`].filter(Boolean).join(", ") : "not on my film")].filter(Boolean);
  return html`<details class="more"><summary>Look of the films${words.length ? `: ${words.join(", ")}` : ""}</summary>
    <div class="chosen"><${Background} />${filmed.value ? html`<${Film} />` : null}</div></details>`;
}
