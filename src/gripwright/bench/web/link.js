// Whether the bench answers, and the token of its run: a page that stays open outlives a restart.
import { signal } from "./vendor/signals.js";
import { accepts, setToken, token } from "./api.js";

/** "down": no answer; "stranger": it was started again and does not know this window. */
export const link = signal(/** @type {"up" | "down" | "stranger"} */ ("up"));

/** Windows of this origin, and no other page, hear each other here. */
const sisters = new BroadcastChannel("bench-token");

sisters.onmessage = async (/** @type {MessageEvent} */ event) => {
  const given = event.data;
  if (typeof given === "string" && given !== token() && (await accepts(given))) setToken(given);
};

/** Take the token out of the address, so that it is neither seen nor shared, and hand it on. */
export function takeToken() {
  const given = new URLSearchParams(location.hash.slice(1)).get("token");
  if (!given) return;
  setToken(given);
  history.replaceState(null, "", location.pathname + location.search);
  sisters.postMessage(given);
}

addEventListener("hashchange", takeToken);
