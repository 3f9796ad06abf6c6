// The house: views, history, tools. A view is a module that mounts into a section; more views join the list below.
import { ask, get, Refused } from "./api.js";
import { make } from "./elements.js";
import { makeStore } from "./store.js";
import { t } from "./words.js";
import * as start from "./start_view.js";
import * as circuit from "./circuit_view.js";
import * as sheet from "./sheet_view.js";
import * as readings from "./readings_view.js";
import * as making from "./make_view.js";

const VIEWS = [start, circuit, sheet, readings, making];

const main = document.querySelector("main");
const one = (selector) => document.querySelector(selector);
const say = (words) => { one("[data-status]").textContent = words; };
const alarm = (words) => { one("[data-trouble]").textContent = words; };

const store = makeStore(() => alarm(t("trouble.storage")));

const app = {
  store,
  say,
  alarm,
  go(view) {
    if (location.hash === `#${view}`) show(view);
    else location.hash = view;
  },
  // What the server says of the sheet as it stands; asked once a version.
  async info() {
    const { sheet: text } = store.now;
    if (!store.info) {
      const found = await ask("sheet", { sheet: text, decimal: store.decimal() });
      if (store.now.sheet !== text) return app.info();
      store.info ??= found;
    }
    return store.info;
  },
  // Change the sheet by keys, boxes or tables. Throws Refused; the sheet then stays as it was.
  async change(edits, { decimal = store.decimal(), kind = "" } = {}) {
    const changed = await ask("change", { sheet: store.now.sheet, decimal, ...edits });
    const { sheet: text, ...info } = changed;
    if (text !== store.now.sheet) store.change({ sheet: text }, { info, kind });
    return info;
  },
  async openText(text) {
    try {
      const info = await ask("sheet", { sheet: text, decimal: store.decimal() });
      store.begin({ sheet: text }, info);
      app.go("circuit");
    } catch (refused) {
      if (!(refused instanceof Refused)) throw refused;
      store.draftText(text);
      app.go("sheet");
    }
  },
  async openFile(file) {
    if (!file) return;
    if (file.size > 100_000) {
      alarm(t("trouble.tooLarge"));
      return;
    }
    try {
      await app.openText(new TextDecoder("utf-8", { fatal: true }).decode(await file.arrayBuffer()));
    } catch (broken) {
      if (!(broken instanceof TypeError)) throw broken;
      alarm(t("trouble.notRead"));
    }
  },
  save(name, text, kind = "text/plain") {
    const address = URL.createObjectURL(new Blob([text], { type: `${kind};charset=utf-8` }));
    make("a", { href: address, download: name }).click();
    setTimeout(() => URL.revokeObjectURL(address), 10_000);
  },
  fileName() {
    const title = store.info?.title ?? "";
    return title.toLowerCase().replace(/[^a-z0-9]+/g, "-").replace(/^-|-$/g, "").slice(0, 40) || "supply";
  },
  examples: () => get("/api/examples"),
};

// ---------------------------------------------------------------- views

const mounted = new Map();
let shown = "";

function section(view) {
  if (!mounted.has(view.id)) {
    const host = make("section", { id: `view-${view.id}`, "aria-labelledby": `view-${view.id}-title` });
    main.append(host);
    mounted.set(view.id, { host, view: view.mount(host, app) });
  }
  return mounted.get(view.id);
}

function show(wanted) {
  const view = VIEWS.find((each) => each.id === wanted) ?? VIEWS[store.now.sheet ? 1 : 0];
  const isNew = shown !== view.id;
  shown = view.id;
  const entry = section(view);
  for (const [id, { host }] of mounted) {
    host.hidden = id !== view.id;
    host.classList.toggle("shown", id === view.id);
  }
  for (const link of document.querySelectorAll("[data-views] a")) {
    if (link.hash === `#${view.id}`) link.setAttribute("aria-current", "page");
    else link.removeAttribute("aria-current");
  }
  document.title = `${t(`views.${view.id}`)} – ${t("page.brand")}`;
  if (isNew) window.scrollTo(0, 0);
  return entry.view.show?.();
}

one("[data-views]").append(...VIEWS.map((view) => make("li", {}, make("a", { href: `#${view.id}` }, t(`views.${view.id}`)))));
window.addEventListener("hashchange", async () => {
  await show(location.hash.slice(1));
  // Whoever goes by keyboard or ear is taken along to the new view.
  main.focus({ preventScroll: true });
});

// ---------------------------------------------------------------- history

const undo = one("[data-undo]");
const redo = one("[data-redo]");
function showHistory() {
  undo.disabled = store.past.length === 0;
  redo.disabled = store.future.length === 0;
}
undo.addEventListener("click", () => store.back());
redo.addEventListener("click", () => store.forth());
document.addEventListener("keydown", (event) => {
  if (!(event.ctrlKey || event.metaKey) || event.altKey) return;
  // In a field the browser's own undo is what is meant.
  if (event.target.matches?.("textarea, input:not([type='range']):not([type='checkbox'])")) return;
  const key = event.key.toLowerCase();
  if (key === "z" && !event.shiftKey) store.back();
  else if (key === "y" || (key === "z" && event.shiftKey)) store.forth();
  else return;
  event.preventDefault();
});
store.onChange((what) => {
  showHistory();
  for (const [id, { view }] of mounted) view.update?.(what, id === shown);
});
showHistory();

// ---------------------------------------------------------------- tools

const THEME = "railwright-colours";
const theme = one("[data-theme-choice]");
theme.addEventListener("change", () => {
  document.documentElement.dataset.theme = theme.value;
  try { localStorage.setItem(THEME, theme.value); } catch { /* it is only a colour */ }
});
try {
  theme.value = localStorage.getItem(THEME) ?? "auto";
  document.documentElement.dataset.theme = theme.value;
} catch { /* it is only a colour */ }

const projector = one("[data-projector]");
function project(isOn) {
  document.body.classList.toggle("projector", isOn);
  projector.setAttribute("aria-pressed", String(isOn));
}
projector.addEventListener("click", () => project(!document.body.classList.contains("projector")));
document.addEventListener("keydown", (event) => {
  if (event.key === "Escape" && document.body.classList.contains("projector")) project(false);
});

// What is wider than its frame can be scrolled by keyboard too.
function markScrollers() {
  for (const frame of document.querySelectorAll(".picture, .maths")) {
    if (frame.scrollWidth > frame.clientWidth + 1) {
      frame.tabIndex = 0;
      frame.setAttribute("role", "group");
      if (!frame.hasAttribute("aria-label")) frame.setAttribute("aria-label", frame.dataset.name ?? "");
    } else {
      frame.removeAttribute("tabindex");
      if (frame.getAttribute("role") === "group") {
        frame.removeAttribute("role");
        if (frame.matches(".maths")) frame.removeAttribute("aria-label");
      }
    }
  }
}
app.markScrollers = markScrollers;
window.addEventListener("resize", markScrollers);
document.addEventListener("toggle", markScrollers, true);

document.documentElement.classList.add("alive");
window.railwrightReady = Promise.resolve(show(location.hash.slice(1)));
