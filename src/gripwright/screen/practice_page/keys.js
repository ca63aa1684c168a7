// The keys and the buttons: two ways to the same few deeds.

import { partSpan } from "./score.js";

const STEP = 5;

/** What can be done, by name. @param {import("./desk.js").Desk} desk
 * @returns {Record<string, () => void>} */
export function deeds(desk) {
  const player = () => desk.player;
  const span = () => {
    const { looping, span, bar } = player();
    return looping ? span : { first: bar, last: bar };
  };
  const here = () => (player().playing ? player().where().bar : player().bar);
  /** @param {"counting" | "clicking"} what */
  const turn = (what) => {
    if (!player().countsIn) return;
    player()[what] = !player()[what];
    player().changed();
  };
  return {
    play: () => void (player().playing ? player().stop() : player().play()),
    back: () => player().goTo(here() - 1),
    on: () => player().goTo(here() + 1),
    first: () => player().goTo(player().span.first),
    faster: () => player().setTempo(player().tempo + STEP),
    slower: () => player().setTempo(player().tempo - STEP),
    full: () => player().setTempo(100),
    "loop-from": () => {
      const first = here();
      player().setLoop({ first, last: Math.max(first, span().last) });
    },
    "loop-to": () => {
      const last = here();
      player().setLoop({ first: Math.min(last, span().first), last });
    },
    "loop-part": () => player().setLoop(partSpan(desk.score, here())),
    "loop-off": () => player().setLoop(null),
    counting: () => turn("counting"),
    clicking: () => turn("clicking"),
    plucked: () => void desk.choose("plucked"),
    taken: () => void desk.choose("taken"),
    swap: () => void desk.swap(),
    keys: () => {
      const keys = /** @type {HTMLDetailsElement} */ (document.getElementById("keys"));
      keys.open = !keys.open;
    },
  };
}

/** The keys as the page lists them: key to deed. */
function keysOfThePage() {
  /** @type {Map<string, string>} */
  const keys = new Map();
  for (const row of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll("[data-key]"))) {
    keys.set(row.dataset.key || "", row.dataset.deed || "");
  }
  return keys;
}

/** Give keys and buttons their deeds. @param {import("./desk.js").Desk} desk */
export function listen(desk) {
  const all = deeds(desk);
  const keys = keysOfThePage();
  for (const button of document.querySelectorAll("button[data-deed]")) {
    const deed = /** @type {HTMLElement} */ (button).dataset.deed || "";
    button.addEventListener("click", () => all[deed]());
  }
  for (const button of document.querySelectorAll("button[data-bar]")) {
    const bar = Number(/** @type {HTMLElement} */ (button).dataset.bar);
    button.addEventListener("click", () => desk.player.goTo(bar));
  }
  const tempo = /** @type {HTMLInputElement} */ (document.getElementById("tempo"));
  tempo.addEventListener("input", () => desk.player.setTempo(Number(tempo.value)));
  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const deed = keys.get(event.key.length === 1 ? event.key.toLowerCase() : event.key);
    const target = /** @type {HTMLElement} */ (event.target);
    const own = target === tempo && event.key.startsWith("Arrow");
    const pressing = event.key === " " && target.matches("button, summary");
    if (!deed || own || (pressing && !target.matches("button[data-bar]"))) return;
    event.preventDefault();
    all[deed]();
    if (target.matches("button[data-bar]")) {
      /** @type {HTMLElement | null} */ (document.querySelector("button[data-bar].now"))?.focus();
    }
  });
}
