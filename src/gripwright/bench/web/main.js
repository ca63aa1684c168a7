// Start: take the token, follow the address, listen, draw.
import { render } from "./vendor/preact.js";
import { effect } from "./vendor/signals.js";
import { listen } from "./api.js";
import { html } from "./html.js";
import { startKeys } from "./keys.js";
import { link, takeToken } from "./link.js";
import { heard } from "./replay.js";
import { Shell } from "./shell.js";
import { followAddress, refreshFolder, tell } from "./state.js";
import { place } from "./url.js";
import { ArrangeView } from "./views/arrange.js";
import { ChangesView } from "./views/changes.js";
import { GripView } from "./views/grip.js";
import { ListenView } from "./views/listen.js";
import { loadTable, nameNow } from "./views/readings.js";
import { PublishView } from "./views/publish.js";
import { ShelfView } from "./views/shelf.js";
import { startWarning } from "./views/waiting.js";

const DRAWN = /** @type {Record<string, unknown>} */ ({ grip: GripView, changes: ChangesView, arrange: ArrangeView, listen: ListenView, publish: PublishView, shelf: ShelfView });

function Bench() {
  return html`<${Shell}><${DRAWN[place.value.view]} /><//>`;
}

takeToken();
const root = /** @type {HTMLElement} */ (document.getElementById("bench"));
root.replaceChildren();
render(html`<${Bench} />`, root);
startKeys();
startWarning();
loadTable().then(nameNow).catch(tell);
refreshFolder().then(() => effect(followAddress)).catch(tell);
void listen(heard, (now) => { link.value = now; });
