// Start: take the token, follow the address, listen, draw.
import { render } from "./vendor/preact.js";
import { effect } from "./vendor/signals.js";
import { listen, takeToken } from "./api.js";
import { heard } from "./edits.js";
import { html } from "./html.js";
import { startKeys } from "./keys.js";
import { Shell } from "./shell.js";
import { followAddress, online, refreshFolder, tell } from "./state.js";
import { place } from "./url.js";
import { ArrangeView } from "./views/arrange.js";
import { ChangesView } from "./views/changes.js";
import { GripView } from "./views/grip.js";
import { ListenView } from "./views/listen.js";
import { loadTable, nameNow } from "./views/readings.js";
import { PublishView } from "./views/publish.js";

const DRAWN = /** @type {Record<string, unknown>} */ ({ grip: GripView, changes: ChangesView, arrange: ArrangeView, listen: ListenView, publish: PublishView });

function Bench() {
  return html`<${Shell}><${DRAWN[place.value.view]} /><//>`;
}

takeToken();
const root = /** @type {HTMLElement} */ (document.getElementById("bench"));
root.replaceChildren();
render(html`<${Bench} />`, root);
startKeys();
loadTable().then(nameNow).catch(tell);
refreshFolder().then(() => effect(followAddress)).catch(tell);
void listen(heard, (up) => { online.value = up; });
