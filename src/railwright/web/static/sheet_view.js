// The sheet twice: a form that knows units, and its text; a change in one is a change in the other.
import { ask, Refused } from "./api.js";
import { choice, freshId, make, released } from "./elements.js";
import { t } from "./words.js";

export const id = "sheet";

const QUIET = 350; // milliseconds without a key after which the text is read

const sentences = ({ problem, allowed, remedy, text }) =>
  [problem, allowed ? `Allowed: ${allowed}.` : "", remedy].filter(Boolean).join(" ") || text;

export function mount(host, app) {
  const { store } = app;
  const form = make("div");
  const text = make("textarea", { class: "sheet-text", id: "sheet-text", spellcheck: "false", autocapitalize: "off", autocomplete: "off",
    "aria-describedby": "text-faults" });
  const faults = make("div", { id: "text-faults", role: "alert" });
  const notes = make("ul", { class: "hint" });
  const file = make("input", { type: "file", id: "open-here", accept: ".toml,text/plain", onchange: async () => {
    await app.openFile(file.files[0]);
    file.value = "";
  } });
  host.append(
    make("h1", { id: "view-sheet-title" }, t("sheet.title")),
    make("p", {}, t("sheet.lead")),
    make("div", { class: "row" },
      make("button", { type: "button", "data-save": true, onclick: () => app.save(`${app.fileName()}.toml`, store.now.sheet, "application/toml") }, t("sheet.save")),
      make("label", { for: "open-here" }, t("sheet.open")), file),
    make("div", { role: "status" }, notes),
    make("div", { class: "both" },
      make("div", {}, make("h2", {}, t("sheet.form")), form),
      make("div", { class: "text-side" }, make("h2", {}, make("label", { for: "sheet-text" }, t("sheet.textLabel"))), faults, text)));

  // ---------------------------------------------------------------- the form

  let focusKey = "";
  async function edit(edits, field = null, key = "") {
    try {
      const info = await app.change(edits);
      if (key) store.draft(key, null);
      notes.replaceChildren(...(info.notes ?? []).map((note) => make("li", {}, note)));
    } catch (refused) {
      if (!(refused instanceof Refused)) throw refused;
      const words = refused.faults.map(sentences).join(" ") || refused.message;
      if (!field) {
        notes.replaceChildren(make("li", { class: "fault" }, words));
        return;
      }
      field.input.setAttribute("aria-invalid", "true");
      field.fault.textContent = words;
      if (key) store.draft(key, field.input.value);
    }
  }

  function fieldOf(about) {
    const name = freshId("field");
    const fault = make("p", { class: "fault", id: `${name}-fault`, role: "alert" });
    const label = about.name.replaceAll("_", " ");
    const shared = { id: name, "data-field": about.key, "aria-describedby": `${name}-hint ${name}-fault` };
    const draft = store.drafts[about.key];
    let input;
    if (about.takes === "choice") {
      input = choice(shared, about.choices.map((word) => [word, word]), about.value);
      input.addEventListener("change", () => send(input.value));
    } else if (about.takes === "flag") {
      input = make("input", { ...shared, type: "checkbox", checked: about.value === "true" });
      input.addEventListener("change", () => send(input.checked));
    } else if (about.name === "note") {
      input = make("textarea", { ...shared, rows: 4 });
      input.value = draft ?? about.value;
      input.addEventListener("change", () => send(input.value));
    } else {
      input = make("input", { ...shared, type: "text", value: draft ?? about.value, autocomplete: "off", spellcheck: "false" });
      input.addEventListener("input", () => store.draft(about.key, input.value));
      input.addEventListener("change", () => send(about.takes === "count" && /^\d+$/.test(input.value) ? Number(input.value) : input.value));
    }
    input.addEventListener("focus", () => { focusKey = about.key; });
    function send(value) {
      if (String(value) === about.value) {
        store.draft(about.key, null);
        input.removeAttribute("aria-invalid");
        fault.textContent = "";
        return;
      }
      edit({ set: { [about.key]: value } }, { input, fault }, typeof value === "string" ? about.key : "");
    }
    if (draft !== undefined && draft !== about.value) setTimeout(() => send(draft));
    const takeOut = about.isKind || about.name === "title" || about.name === "circuit" ? null
      : make("button", { type: "button", class: "take-out", "aria-label": t("sheet.removeKey", { key: label }),
        onclick: () => edit({ remove: [about.key] }) }, "×");
    return make("div", { class: about.name === "note" || about.name === "title" ? "wide" : "" },
      make("label", { for: name }, label),
      make("div", { class: "with-unit" }, input, about.shown ? make("span", { class: "unit" }, about.shown) : null, takeOut),
      make("p", { class: "hint", id: `${name}-hint` }, about.meaning), fault);
  }

  // A key that isn't there yet: chosen, given a value, put in.
  function adding(table) {
    if (!table.more.length) return null;
    const name = freshId("more");
    const chooser = choice({ id: name }, [["", t("sheet.choose")], ...table.more.map(({ key, name: words }) => [key, words.replaceAll("_", " ")])], "");
    const place = make("div");
    const label = table.path ? t("sheet.addKey", { table: nameOf(table) }) : t("sheet.addKeyShort");
    chooser.addEventListener("change", () => {
      const about = table.more.find(({ key }) => key === chooser.value);
      place.replaceChildren();
      if (!about) return;
      place.append(fieldOf({ ...about, value: about.takes === "choice" ? "" : "", isKind: true }));
      const input = place.querySelector("input, select, textarea");
      if (about.takes === "choice") input.prepend(make("option", { value: "" }, t("sheet.choose")));
      if (about.takes === "choice") input.value = "";
      if (about.example && input.type === "text") input.placeholder = about.example;
      input.focus();
    });
    return make("div", { class: "adding" }, make("div", {}, make("label", { for: name }, label), chooser), place);
  }

  function nameOf({ path }) {
    const steps = path.split(".");
    const number = steps.find((step) => /^\d+$/.test(step)) ?? "";
    return t(`tables.${steps.filter((step) => step !== number).join(".")}`, { number });
  }

  function fillForm(info) {
    const tables = info.form.tables.map((table) => make("fieldset", { class: "form-table", "data-table": table.path },
      make("legend", {}, nameOf(table), " ", table.path ? make("span", { class: "ids" }, table.heading) : ""),
      make("div", { class: "fields" }, table.fields.map(fieldOf)),
      adding(table),
      table.removable ? make("p", {}, make("button", { type: "button", onclick: () => edit({ remove: [table.path] }) },
        t("sheet.remove", { table: nameOf(table) }))) : null));
    const name = freshId("add");
    const adder = choice({ id: name, "data-add-table": true },
      [["", t("sheet.choose")], ...info.form.add.map(({ name: table, heading, meaning }) => [table, `${heading}: ${meaning}`])], "");
    adder.addEventListener("change", () => {
      const found = info.form.add.find(({ name: table }) => table === adder.value);
      if (found) edit({ add: [{ table: found.name, values: found.values }] });
    });
    const key = focusKey;
    const had = form.contains(document.activeElement);
    form.replaceChildren(...tables,
      make("p", {}, make("label", { for: name }, `${t("sheet.add")} `), adder),
      info.form.inText.length ? make("p", { class: "hint" }, t("sheet.inText", { names: info.form.inText.join(", ") })) : "");
    if (had && key) form.querySelector(`[data-field="${CSS.escape(key)}"]`)?.focus();
  }

  // ---------------------------------------------------------------- the text

  let waiting = 0;
  text.addEventListener("input", () => {
    store.draftText(text.value);
    clearTimeout(waiting);
    waiting = setTimeout(read, QUIET);
  });
  text.addEventListener("change", () => {
    clearTimeout(waiting);
    read();
  });
  async function read() {
    const typed = text.value;
    if (typed === store.now.sheet) {
      right();
      return;
    }
    try {
      const info = await ask("sheet", { sheet: typed, decimal: store.decimal() });
      if (text.value !== typed) return;
      right();
      store.change({ sheet: typed }, { info, kind: "text" });
    } catch (refused) {
      if (!(refused instanceof Refused)) throw refused;
      await released();
      if (text.value === typed) wrong(refused);
    }
  }
  let said = ""; // the faults that stand there
  function right() {
    said = "";
    store.draftText(null);
    text.removeAttribute("aria-invalid");
    faults.replaceChildren();
  }
  function wrong(refused) {
    text.setAttribute("aria-invalid", "true");
    const told = refused.faults.length ? refused.faults : [{ problem: refused.message }];
    if (said === JSON.stringify(told)) return; // read aloud once, and its buttons keep their focus
    said = JSON.stringify(told);
    faults.replaceChildren(
      make("p", { class: "fault" }, t("sheet.faults")),
      make("ul", { class: "text-faults" }, told.map((fault) => make("li", {},
        fault.line ? make("button", { type: "button", onclick: () => toLine(fault.line) }, t("sheet.line", { line: fault.line })) : null,
        ` ${fault.key ? `${fault.key}: ` : ""}${sentences(fault)}`))),
      make("p", { class: "hint" }, t("sheet.kept")));
  }
  function toLine(line) {
    const before = text.value.split("\n").slice(0, line - 1).join("\n").length + (line > 1 ? 1 : 0);
    const end = text.value.indexOf("\n", before);
    text.focus();
    text.setSelectionRange(before, end < 0 ? text.value.length : end);
    text.scrollTop = (line - 4) * (text.scrollHeight / text.value.split("\n").length);
  }

  // ---------------------------------------------------------------- the view

  let turn = 0;
  async function refresh() {
    turn += 1;
    const mine = turn;
    const { textDraft } = store;
    const shown = textDraft ?? store.now.sheet;
    if (text.value !== shown) text.value = shown;
    if (textDraft !== null && textDraft !== store.now.sheet) read();
    else right();
    if (!store.now.sheet) {
      form.replaceChildren(make("p", {}, make("a", { href: "#start" }, t("circuit.none"))));
      return;
    }
    try {
      const info = await app.info();
      await released();
      if (mine === turn) fillForm(info);
    } catch (refused) {
      if (!(refused instanceof Refused)) throw refused;
      if (mine !== turn) return;
      // The kept sheet itself isn't right any more (another version of the program): its text is still here.
      wrong(refused);
      form.replaceChildren();
    }
  }

  let stale = true;
  return {
    async show() {
      if (stale || store.textDraft !== null) {
        stale = false;
        await refresh();
      }
    },
    update(what, isShown) {
      if (!what.includes("sheet") && !what.includes("course")) return;
      if (isShown) refresh();
      else stale = true;
    },
  };
}
