// Elements with attributes and content in one call. Text is always set as text, never as markup.

export function make(name, attributes = {}, ...content) {
  const node = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (value === undefined || value === null || value === false) continue;
    if (key.startsWith("on")) node.addEventListener(key.slice(2), value);
    else node.setAttribute(key, value === true ? "" : value);
  }
  node.append(...content.flat().filter((piece) => piece !== null && piece !== undefined && piece !== false));
  return node;
}

export function choice(attributes, options, chosen) {
  const select = make("select", attributes, options.map(([value, words]) => make("option", { value }, words)));
  if (options.some(([value]) => value === chosen)) select.value = chosen;
  return select;
}

// Markup of our own server (formulas, drawings): parsed as XML, so that it can hold nothing that runs.
export function fromXml(text, kind) {
  const parsed = new DOMParser().parseFromString(text, kind);
  if (parsed.querySelector("parsererror")) return null;
  for (const node of parsed.querySelectorAll("script, foreignObject, a")) node.remove();
  return document.importNode(parsed.documentElement, true);
}

export function table(head, rows, label) {
  return make("div", { class: "scroll", role: "group", tabindex: "0", "aria-label": label },
    make("table", {},
      make("thead", {}, make("tr", {}, head.map((words) => make("th", { scope: "col" }, words)))),
      make("tbody", {}, rows)));
}

let last = 0;
export function freshId(stem) {
  last += 1;
  return `${stem}-${last}`;
}

// Nothing is redrawn under a finger: an element that is exchanged between press and release never gets its click.
const AFTER = 60; // milliseconds from the release to the click that a touch screen makes of it
const LONGEST = 2000; // milliseconds after which a press holds nothing back any more: its release may have been lost
let press = null;
addEventListener("pointerdown", ({ target }) => {
  if (press || target.closest?.("select, option")) return; // a list that opens takes the release for itself
  const now = {};
  now.over = new Promise((resolve) => { now.end = resolve; });
  setTimeout(() => end(now), LONGEST);
  press = now;
}, true);
function end(which) {
  which.end();
  if (press === which) press = null;
}
for (const name of ["pointerup", "pointercancel", "blur"]) {
  addEventListener(name, (event) => {
    if (!press || (name === "blur" && event.target !== window)) return;
    setTimeout(end, AFTER, press);
  }, true);
}
export const released = () => press?.over;
