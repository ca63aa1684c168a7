// One place that binds the template tag to the renderer.
import { h } from "./vendor/preact.js";
import htm from "./vendor/htm.js";

/** Template tag: text between tags is always text, never markup. */
export const html = htm.bind(h);
