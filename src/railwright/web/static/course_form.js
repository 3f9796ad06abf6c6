// My course: words, symbols, letters, figures; what by hand must agree with.
import { ask, Refused } from "./api.js";
import { choice, make } from "./elements.js";
import { t } from "./words.js";

const LETTERS = [
  "source_rms", "source_peak", "load_peak", "load_mean", "ripple_peak_to_peak", "diode_drop", "load_resistance",
];

export function courseForm(app) {
  const { store } = app;
  const fault = make("p", { class: "fault", role: "alert" });
  const fields = make("div", { class: "choices" });
  const letters = make("div", { class: "choices" });
  const file = make("button", { type: "button", onclick: async () => {
    const found = await ask("course", { course: store.now.course });
    app.save("my-course.toml", found.file);
  } }, t("course.file"));
  const details = make("details", { class: "not-projected not-printed", "data-course": true }, make("summary", {}, t("course.title")),
    fields, fault,
    make("details", {}, make("summary", {}, t("course.symbols")), make("p", { class: "hint", id: "letters-hint" }, t("course.lettersHint")), letters),
    make("p", {}, file));

  async function set(name, value) {
    const course = { ...store.now.course };
    if (value === "") delete course[name];
    else course[name] = value;
    await take(course);
  }
  async function setLetter(name, value) {
    const symbols = { ...store.now.course.symbols };
    if (value.trim()) symbols[name] = value.trim();
    else delete symbols[name];
    const course = { ...store.now.course, symbols };
    if (!Object.keys(symbols).length) delete course.symbols;
    await take(course);
  }
  async function take(course) {
    try {
      await ask("course", { course });
    } catch (refused) {
      if (!(refused instanceof Refused)) throw refused;
      fault.textContent = refused.faults.map(({ problem, allowed, remedy }) =>
        [problem, allowed ? `Allowed: ${allowed}.` : "", remedy].filter(Boolean).join(" ")).join(" ") || refused.message;
      return;
    }
    fault.textContent = "";
    // Another decimal sign changes what stands in every field.
    if ((course.decimal ?? ".") !== store.decimal()) store.info = null;
    store.change({ course });
  }

  let filled = "";
  function select(name, label, options, chosen, changed) {
    const node = choice({ id: `course-${name}`, "data-course-key": name }, options, chosen);
    node.addEventListener("change", () => changed(node.value));
    return make("div", {}, make("label", { for: `course-${name}` }, label), node);
  }

  async function fill() {
    const { course } = store.now;
    const wanted = JSON.stringify(course);
    if (wanted === filled) return;
    filled = wanted;
    const focused = document.activeElement?.id;
    const { course: found } = await ask("course", { course });
    if (JSON.stringify(store.now.course) !== wanted) return;
    const drop = make("input", { type: "text", id: "course-drop", value: course.diode_drop ?? "", autocomplete: "off", "aria-describedby": "drop-hint" });
    drop.addEventListener("change", () => {
      const text = drop.value.trim();
      set("diode_drop", /^[\d.,]+$/.test(text) ? `${text.replace(",", ".")} V` : text);
    });
    if (/ V$/.test(drop.value)) drop.value = drop.value.replace(/ V$/, "");
    fields.replaceChildren(
      select("profile", t("course.profile"), [["uk", t("course.uk")], ["us", t("course.us")]], course.profile,
        (value) => take({ profile: value })),
      select("drawing", t("course.drawing"), [["iec", t("course.iec")], ["ieee", t("course.ieee")]], found.drawing,
        (value) => set("drawing", value)),
      make("div", {}, make("label", { for: "course-drop" }, t("course.diodeDrop")),
        make("div", { class: "with-unit" }, drop, make("span", { class: "unit" }, "V")),
        make("p", { class: "hint", id: "drop-hint" }, t("course.diodeDropHint"))),
      select("digits", t("course.digits"), ["2", "3", "4", "5"].map((n) => [n, n]), String(found.digits),
        (value) => set("digits", Number(value))),
      select("decimal", t("course.decimal"), [[".", t("course.point")], [",", t("course.comma")]], found.decimal,
        (value) => set("decimal", value)),
      select("flow", t("course.flow"), [["conventional", t("course.conventional")], ["electron", t("course.electron")]],
        found.current_direction, (value) => set("current_direction", value)),
      select("ripple", t("course.ripple"), [["rms", t("course.rippleRms")], ["peak-to-peak", t("course.ripplePeak")]],
        found.ripple_factor, (value) => set("ripple_factor", value)),
      select("paper", t("course.paper"), [["A4", "A4"], ["Letter", "Letter"]], found.paper, (value) => set("paper", value)));
    letters.replaceChildren(...LETTERS.map((name) => {
      const input = make("input", {
        type: "text", id: `letter-${name}`, value: course.symbols?.[name] ?? "", placeholder: found.symbols[name] ?? "",
        autocomplete: "off", spellcheck: "false", "aria-describedby": "letters-hint",
      });
      input.addEventListener("change", () => setLetter(name, input.value));
      return make("div", {}, make("label", { for: `letter-${name}` }, t(`course.letters.${name}`)), input);
    }));
    if (focused && details.querySelector(`#${focused}`)) document.getElementById(focused).focus();
  }

  return { details, fill };
}
