// The only door to the server: every call carries the token of this run.

const KEY = "bench-token";

/** An answer that says no: what, where and the remedy. */
export class Refusal extends Error {
  /** @param {{code: string, message: string, remedy?: string | null}} error @param {number} status @param {any} [body] */
  constructor(error, status, body) {
    super(error.message);
    this.code = error.code;
    this.remedy = error.remedy ?? "";
    this.status = status;
    this.body = body;
  }

  /** The bench is away, or is another run that does not know this window. */
  get away() {
    return this.status === 0 || this.status === 401;
  }
}

export const token = () => sessionStorage.getItem(KEY) ?? "";

/** @param {string} given */
export const setToken = (given) => sessionStorage.setItem(KEY, given);

const headers = (given = token()) => ({ "x-bench-token": given });

/** Whether the bench knows a token. @param {string} given */
export const accepts = (given) => fetch("/api/folder", { headers: headers(given) }).then((response) => response.ok, () => false);

/** @param {Response} response */
async function answer(response) {
  const body = await response.json().catch(() => ({}));
  if (!response.ok || body.error) {
    const error = body.error ?? { code: "server", message: `the bench answered ${response.status}` };
    throw new Refusal(error, response.status, body);
  }
  return body;
}

/** @param {string} path @param {RequestInit} init */
async function ask(path, init) {
  try {
    return await fetch(path, init);
  } catch (error) {
    if (error instanceof DOMException && error.name === "AbortError") throw error;
    throw new Refusal({ code: "offline", message: "the bench does not answer", remedy: "start it again: gripwright bench" }, 0);
  }
}

/** @param {string} path @param {Record<string, string>} [query] @returns {Promise<any>} */
export async function get(path, query) {
  const tail = query ? `?${new URLSearchParams(query)}` : "";
  return answer(await ask(`/api/${path}${tail}`, { headers: headers() }));
}

/** @param {string} path @param {object} body @param {AbortSignal} [signal] @returns {Promise<any>} */
export async function post(path, body, signal) {
  const init = { method: "POST", headers: { ...headers(), "content-type": "application/json" }, body: JSON.stringify(body), signal };
  return answer(await ask(`/api/${path}`, init));
}

/** @param {string} path @param {Record<string, string>} query @returns {Promise<ArrayBuffer>} */
export async function bytes(path, query) {
  const response = await ask(`/api/${path}?${new URLSearchParams(query)}`, { headers: headers() });
  if (!response.ok) await answer(response);
  return response.arrayBuffer();
}

/** Send a file as it is. @param {string} path @param {Record<string, string>} query @param {Blob} file @returns {Promise<any>} */
export async function send(path, query, file) {
  const init = { method: "POST", headers: headers(), body: file };
  return answer(await ask(`/api/${path}?${new URLSearchParams(query)}`, init));
}

/**
 * Listen to the bench's events; come back by itself when the server was away.
 * @param {(event: any) => void} heard @param {(link: "up" | "down" | "stranger") => void} changed
 */
export async function listen(heard, changed) {
  for (;;) {
    let known = true;
    try {
      const response = await fetch("/api/events", { headers: headers() });
      known = response.status !== 401;
      if (!response.ok || !response.body) throw new Error(String(response.status));
      changed("up");
      const reader = response.body.pipeThrough(new TextDecoderStream()).getReader();
      let rest = "";
      for (;;) {
        const { value, done } = await reader.read();
        if (done) break;
        const lines = (rest + value).split("\n");
        rest = lines.pop() ?? "";
        for (const line of lines) if (line) heard(JSON.parse(line));
      }
    } catch { /* the server is away: said by `changed`, tried again below */ }
    changed(known ? "down" : "stranger");
    await new Promise((done) => setTimeout(done, 1000));
  }
}
