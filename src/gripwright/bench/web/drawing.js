// A drawing of the library, taken into the page so that it has the page's own type and colours.
import { useEffect, useRef } from "./vendor/hooks.js";
import { html } from "./html.js";

/** @param {{svg: string}} props */
export function Drawing({ svg }) {
  const place = useRef(/** @type {HTMLElement | null} */ (null));
  useEffect(() => {
    const drawn = new DOMParser().parseFromString(svg, "image/svg+xml").documentElement;
    place.current?.replaceChildren(document.importNode(drawn, true));
  }, [svg]);
  return html`<span class="drawing" aria-hidden="true" ref=${place}></span>`;
}
