// The page's only way to the server: JSON there and back, errors as sentences, patience when it is busy or gone.
import { t } from "./words.js";

// Something that was asked can't be answered; `faults` say where.
export class Refused extends Error {
  constructor(sentence, faults = [], kind = "") {
    super(sentence);
    this.faults = faults;
    this.kind = kind;
  }
}

const pause = (milliseconds) => new Promise((done) => { setTimeout(done, milliseconds); });
const BUSY_TRIES = 8;

let trouble = "";
function say(words) {
  if (words === trouble) return;
  trouble = words;
  document.querySelector("[data-trouble]").textContent = words;
}

async function send(path, options) {
  for (;;) {
    try {
      const reply = await fetch(path, { ...options, cache: "no-store", redirect: "error" });
      if (reply.status !== 401) {
        if (trouble) say("");
        return reply;
      }
      say(t("trouble.token"));
    } catch (gone) {
      if (gone instanceof DOMException && gone.name === "AbortError") throw gone;
      say(t("trouble.gone"));
    }
    // A crashed program comes back under the same address: whatever was asked is asked again.
    await pause(1500);
  }
}

async function answered(path, options) {
  for (let tries = 0; ; tries += 1) {
    const reply = await send(path, options);
    if (reply.ok) return reply;
    const said = await reply.json().catch(() => ({ error: t("trouble.defect") }));
    if (reply.status === 429 && tries < BUSY_TRIES) {
      say(t("trouble.busy"));
      await pause(1000 * Number(reply.headers.get("retry-after") ?? 1) * (0.5 + Math.random()));
      continue;
    }
    throw new Refused(said.error, said.faults, said.kind);
  }
}

export async function ask(name, question) {
  const reply = await answered(`/api/${name}`, {
    method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify(question),
  });
  return reply.json();
}

export async function get(path) {
  return (await answered(path, { method: "GET" })).json();
}

export async function end(path) {
  return (await answered(path, { method: "DELETE" })).json();
}
