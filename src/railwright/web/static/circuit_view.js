// The circuit: three boxes, the picture with its path, four lines of working, one sentence why; depth on request.
import { ask, Refused } from "./api.js";
import { makeAsker } from "./asking.js";
import { courseForm } from "./course_form.js";
import { makeDrawing } from "./drawing.js";
import { choice, fromXml, make, table } from "./elements.js";
import { printForTomorrow } from "./printing.js";
import { slider } from "./sliders.js";
import { known, t } from "./words.js";

export const id = "circuit";

const LOAD_UNITS = { resistance: "Ω", current: "A", power: "W" };
const REST = 220; // milliseconds without a move after which a slider counts as resting

export function mount(host, app) {
  const { store } = app;
  let info = null;
  let answer = null;
  let player = null;
  let moving = {}; // keys that a slider moves just now
  let format = makeFormat(store.decimal());

  // ---------------------------------------------------------------- what stands there

  const title = make("h1", { id: "view-circuit-title" }, t("views.circuit"));
  const nothing = make("p", { class: "lead" }, make("a", { href: "#start" }, t("circuit.none")));
  const boxes = make("fieldset", { class: "boxes not-projected" });
  const frame = make("div", { class: "picture circuit moving", "data-name": t("circuit.picture"), "aria-label": t("circuit.picture") });
  const drawing = makeDrawing(frame);
  const circuitWords = make("p");
  const big = make("p", { class: "big" }, make("span", {}));
  const bigLabel = make("p", { class: "big-label" }, t("circuit.mean"));
  const lines = make("ol", { class: "lines-by-hand" });
  const why = make("p", { class: "why" });
  const legend = make("p", { class: "hint not-printed" });
  const loadPlace = make("div");
  const otherPlace = make("div", { class: "sliders" });
  const refusal = make("p", { class: "fault", role: "alert" });
  const notes = make("ul", { class: "hint" });
  const printing = printForTomorrow(app);
  const course = courseForm(app);

  const speeds = choice({ "data-speed": true, id: "speed" },
    [40, 20, 10, 5].map((seconds) => [String(seconds), t("circuit.aPeriod", { seconds })]), "10");
  const plot = make("div", { class: "plot", id: "plot-board", "data-plot": "board" });
  const nows = make("dl", { class: "nows" });
  const time = make("details", { class: "not-printed" }, make("summary", {}, t("circuit.time")),
    make("div", { class: "time-bar" },
      make("div", { class: "time-tools" },
        make("button", { type: "button", "data-play": true }, t("circuit.play")),
        make("label", { for: "speed" }, `${t("circuit.speed")} `, speeds),
        make("span", { class: "moment-words", "data-moment-time": true }, "")),
      make("input", { type: "range", "data-time": true, min: 0, max: 360, step: 1, value: 0,
        "aria-label": t("circuit.timeSlider"), "aria-valuetext": "0°" })),
    nows, plot,
    make("details", {}, make("summary", {}, t("circuit.waveWords")), make("p", { id: "plot-board-words" })),
    make("details", {}, make("summary", {}, t("circuit.whyNot")), make("ul", { "data-why-not": true })));
  const numbers = make("details", { class: "not-printed" }, make("summary", {}, t("circuit.numbers")));
  const pinButton = make("button", { type: "button", "data-pin": true, onclick: () => pin() }, t("circuit.pin"));
  const pinWords = make("span", { class: "hint" });
  const choices = make("div", { class: "choices" });
  const reset = make("button", { type: "button", "data-reset": true, onclick: () => {
    store.change({ mains: 1, model: "textbook", faults: [], point: "" });
  } }, t("circuit.reset"));
  const more = make("details", { class: "not-printed" }, make("summary", {}, t("circuit.more")), otherPlace, choices,
    make("p", {}, reset));

  const stage = make("div", { hidden: true },
    boxes, refusal,
    make("div", { class: "first-look" },
      make("div", {}, frame, make("p", { class: "caption", "data-caption": true }), legend,
        make("details", { class: "not-projected not-printed" }, make("summary", {}, t("circuit.words")), circuitWords,
          make("p", { class: "legend-words" }, t("circuit.ribbon")))),
      make("div", {}, big, bigLabel, make("h2", {}, t("circuit.byHand")), lines, why)),
    make("div", { class: "after" }, loadPlace,
      make("div", { class: "not-projected" }, make("div", { class: "doing" }, printing.button, pinButton, pinWords),
        printing.state)),
    course.details, more, time, numbers, notes);
  host.append(title, nothing, stage);

  // ---------------------------------------------------------------- the three boxes

  const fields = {};
  function fillBoxes() {
    const focused = document.activeElement?.id;
    boxes.replaceChildren(make("legend", { class: "unseen" }, t("boxes.legend")));
    for (const name of ["winding", "capacitor", "load"]) {
      const box = info.boxes.find((each) => each.name === name);
      const errorId = `box-${name}-fault`;
      const hint = known(`boxes.${name}Hint`, "");
      const draft = store.drafts[`box.${name}`];
      const input = make("input", {
        type: "text", id: `box-${name}`, inputmode: "text", autocomplete: "off", spellcheck: "false",
        value: draft ?? box?.value ?? "", disabled: !box, "data-box": name,
        "aria-describedby": `${errorId}${hint ? ` box-${name}-hint` : ""}`,
      });
      const unit = name === "load" && box
        ? choice({ "aria-label": t("boxes.loadUnit"), "data-load-unit": true },
          Object.entries(LOAD_UNITS).map(([kind, sign]) => [kind, sign]), box.key.split(".")[1])
        : make("span", { class: "unit" }, box?.shown ?? "");
      const fault = make("p", { class: "fault", id: errorId, role: "alert" });
      fields[name] = { input, unit, fault };
      boxes.append(make("div", { class: "box" }, make("label", { for: `box-${name}` }, t(`boxes.${name}`)),
        make("div", { class: "with-unit" }, input, unit),
        make("p", { class: "hint", id: hint ? `box-${name}-hint` : null }, box ? hint : t("boxes.fixed")), fault));
      if (!box) continue;
      input.addEventListener("change", () => type(name));
      input.addEventListener("input", () => store.draft(`box.${name}`, input.value));
      input.addEventListener("keydown", (event) => { if (event.key === "Enter") type(name); });
      if (unit.matches("select")) unit.addEventListener("change", () => {
        if (input.value.trim()) type(name);
      });
      if (draft !== undefined) type(name);
    }
    if (focused) document.getElementById(focused)?.focus();
  }

  async function type(name) {
    const { input, unit, fault } = fields[name];
    const box = info.boxes.find((each) => each.name === name);
    const kind = unit.matches("select") ? unit.value : "";
    if (input.value === box.value && (!kind || kind === box.key.split(".")[1])) {
      input.removeAttribute("aria-invalid");
      fault.textContent = "";
      store.draft(`box.${name}`, null);
      return;
    }
    store.draft(`box.${name}`, input.value);
    const wanted = { [name]: input.value };
    if (kind) wanted.load_kind = kind;
    try {
      const typed = input.value;
      store.draft(`box.${name}`, null);
      await app.change({ boxes: wanted });
      if (fields[name].input.value === typed) fields[name].fault.textContent = "";
    } catch (refused) {
      if (!(refused instanceof Refused)) throw refused;
      store.draft(`box.${name}`, input.value);
      const now = fields[name];
      now.input.value = input.value;
      now.input.setAttribute("aria-invalid", "true");
      now.fault.textContent = refused.faults.map(({ problem, allowed, remedy }) =>
        [problem, allowed ? `Allowed: ${allowed}.` : "", remedy].filter(Boolean).join(" ")).join(" ") || refused.message;
    }
  }

  // ---------------------------------------------------------------- sliders

  const sliders = new Map(); // kept while their key stays, with their range
  function fillSliders() {
    const wanted = new Set(info.sliders.map(({ key }) => key));
    for (const key of [...sliders.keys()]) if (!wanted.has(key)) sliders.delete(key);
    for (const spec of info.sliders) {
      const value = spec.part === "mains" ? spec.value * store.now.mains : spec.value;
      const there = sliders.get(spec.key);
      if (there?.holds(value) && there.unit === spec.unit) there.set(value);
      else sliders.set(spec.key, slider(spec, value, () => format, { onMove: move, onRest: rest }));
      sliders.get(spec.key).spec = spec;
    }
    const load = info.sliders.find(({ part }) => part === "load");
    place(loadPlace, load ? [sliders.get(load.key).node] : []);
    place(otherPlace, info.sliders.filter((spec) => spec !== load).map(({ key }) => sliders.get(key).node));
  }
  // Only what is new is put in: a slider that stays keeps the finger that is on it.
  function place(where, nodes) {
    if (where.children.length !== nodes.length || nodes.some((node, k) => where.children[k] !== node)) {
      where.replaceChildren(...nodes);
    }
  }

  let resting = 0;
  function move(spec, value, written) {
    moving[spec.key] = { spec, value, written };
    request("moving");
    clearTimeout(resting);
    resting = setTimeout(settle, REST * 4);
  }
  function rest() {
    clearTimeout(resting);
    resting = setTimeout(settle, REST);
  }
  // What a slider was moved to becomes part of the sheet when it rests.
  async function settle() {
    const moved = Object.values(moving);
    const set = Object.fromEntries(moved.filter(({ spec }) => spec.part !== "mains").map(({ spec, written }) => [spec.key, written]));
    const mains = moved.find(({ spec }) => spec.part === "mains");
    const before = moving;
    try {
      if (Object.keys(set).length) await app.change({ set }, { decimal: ".", kind: "slider" });
      if (mains) store.change({ mains: Number((mains.value / mains.spec.value).toPrecision(6)) }, { kind: "slider" });
    } catch (refused) {
      if (!(refused instanceof Refused)) throw refused;
      refuse(refused);
    }
    if (moving === before) moving = {};
    request("rest");
  }

  // ---------------------------------------------------------------- ask and show

  const asker = makeAsker(show, refuse);
  const isFor = (detail) => {
    const { sheet, course: asCourse, model, faults, point, mains } = store.now;
    const changes = {};
    let factor = mains;
    for (const { spec, value, written } of Object.values(moving)) {
      if (spec.part === "mains") factor = value / spec.value;
      else changes[spec.key] = written;
    }
    const question = { sheet, course: asCourse, model, faults, detail, changes, mains: factor };
    if (point) question.point = point;
    if (player) question.degrees = player.at();
    question.have = { circuit: drawing.name(), ways: Object.keys(ways) };
    return question;
  };
  function request(detail) {
    if (store.now.sheet) asker(() => isFor(detail));
  }

  let ways = {};
  const allWays = new Map(); // by circuit: going back is then at once
  function show(found, isLatest) {
    refusal.textContent = "";
    stage.classList.remove("stale");
    const before = answer;
    answer = found;
    if (drawing.take(found.circuit)) {
      ways = {};
      circuitWords.textContent = found.circuit.description;
    }
    Object.assign(ways, found.ways);
    drawing.lay(found.ways);
    const shown = { ...found, waves: unpackWaves(found.waves.waves, found.waves) };
    const asCourse = store.now.course;
    format = makeFormat(store.decimal());
    const data = { ways, plots: found.plots, startDegrees: found.startDegrees, digits: asCourse.digits ?? 3, decimal: store.decimal() };
    fillNows(found.beside);
    showLoad(found);
    showNumbers(found);
    if (player) player.take(data);
    else player = makePlayer(host, data, { play: t("circuit.play"), pause: t("circuit.pause") });
    // Another circuit begins where its first diode conducts.
    const isOther = found.title !== before?.title;
    player.show(shown);
    if (isOther) player.moveTo(found.startDegrees);
    showLabels();
    if (found.working) showWorking(found.working);
    legend.textContent = t("circuit.legendLine", {
      model: t(`circuit.models.${found.model}`),
      emf: Object.entries(found.emf).map(([name, volts]) => `${name.replaceAll("_", " ")} ${format(volts, "V", 4)}`).join(", "),
    });
    notes.replaceChildren(...found.notes.map((note) => make("li", {}, note)));
    if (isLatest && found.working) {
      const { value, unit } = found.readings[`${found.load}.voltage.mean`] ?? {};
      app.say(t("circuit.solved", { value: format(value ?? null, unit ?? "V", 3) }));
    }
    // Measuring what is wider than its frame costs a layout: once, when the slider rests.
    if (isLatest && !Object.keys(moving).length) app.markScrollers();
  }

  function refuse(refused) {
    if (!(refused instanceof Refused)) {
      app.alarm(t("trouble.defect"));
      throw refused;
    }
    // The last picture stays, pale: it is no longer of what is asked.
    stage.classList.toggle("stale", Boolean(answer));
    refusal.textContent = refused.message;
  }

  function showLoad({ load }) {
    const span = big.firstElementChild;
    span.dataset.reading = `${load}.voltage.mean`;
    bigLabel.textContent = t(load === "load" ? "circuit.mean" : "circuit.meanPositive");
  }

  let nowShape = "";
  function fillNows(beside) {
    const shape = JSON.stringify(beside);
    if (shape === nowShape) return;
    nowShape = shape;
    nows.replaceChildren(...beside.map(({ wave, label, kind }) =>
      make("div", { class: kind }, make("dt", {}, label), make("dd", { "data-now": wave }, "–"))));
  }

  // The drawing is that of the sheet; what sliders move is written into it.
  function showLabels() {
    const values = {};
    for (const { spec, value } of Object.values(moving)) {
      for (const name of spec.designators) values[name] = format(value, spec.unit, 3);
    }
    drawing.label(values);
  }

  const parsed = new Map(); // formulas as parsed: most stay the same from one answer to the next
  function formula(piece, plain) {
    if (!parsed.has(piece)) {
      if (parsed.size > 200) parsed.clear();
      parsed.set(piece, fromXml(piece, "application/xml"));
    }
    return parsed.get(piece)?.cloneNode(true) ?? document.createTextNode(plain);
  }
  function showWorking({ lines: worked, why: reason }) {
    lines.replaceChildren(...worked.map(({ heading, maths, plain }) => make("li", {},
      make("span", { class: "what" }, heading),
      make("span", { class: "maths", "data-plain": plain, "data-name": heading },
        maths.map((piece) => formula(piece, plain))))));
    if (!worked.length) lines.replaceChildren(make("li", {}, t("circuit.noFormula")));
    why.textContent = reason || (worked.length ? t("circuit.agree") : "");
  }

  // ---------------------------------------------------------------- numbers, pin and compare

  let numbersShape = "";
  function showNumbers(found) {
    const pinned = pinnedAnswer;
    const shape = JSON.stringify([Object.keys(found.readings), Boolean(pinned), store.decimal(), store.now.course.profile]);
    if (shape !== numbersShape) {
      numbersShape = shape;
      const rows = Object.entries(found.readings).filter(([, { value }]) => value !== null).map(([name, { name: words }]) => make("tr", {},
        make("th", { scope: "row" }, words),
        make("td", { class: "computed" }, make("span", { "data-reading": name })),
        pinned ? [make("td", { "data-pinned": name }), make("td", { "data-change": name })] : []));
      const head = [t("circuit.reading"), t("circuit.now"), ...(pinned ? [t("circuit.pinned"), t("circuit.change")] : [])];
      numbers.replaceChildren(numbers.firstElementChild, table(head, rows, t("circuit.numbers")));
    }
    if (!pinned) return;
    for (const cell of numbers.querySelectorAll("[data-pinned]")) {
      const one = pinned.readings[cell.dataset.pinned];
      cell.textContent = one ? format(one.value, one.unit, 3, true) : "";
    }
    for (const cell of numbers.querySelectorAll("[data-change]")) {
      const [now, then] = [found.readings[cell.dataset.change], pinned.readings[cell.dataset.change]];
      const share = now && then && then.value ? (now.value - then.value) / Math.abs(then.value) : null;
      cell.textContent = share === null || now.unit === "deg" ? "" : `${share > 0 ? "+" : ""}${format(share, "1", 2)}`;
    }
  }

  let pinnedAnswer = null;
  let pinnedFor = "";
  async function pin() {
    if (store.pinned) {
      store.pin(null);
      return;
    }
    const { sheet, model, faults, point, mains } = store.now;
    const value = answer?.readings[`${answer.load}.voltage.mean`]?.value ?? null;
    const boxesNow = info.boxes.filter((box) => box.value).map((box) => `${box.value} ${box.shown}`).join(", ");
    const label = [info.title, boxesNow, faults.join(", "), value === null ? "" : format(value, "V", 3)].filter(Boolean).join(": ");
    store.pin({ sheet, model, faults, point, mains, label });
  }
  async function loadPinned() {
    const wanted = store.pinned ? JSON.stringify([store.pinned, store.now.course]) : "";
    if (wanted === pinnedFor) return;
    pinnedFor = wanted;
    pinnedAnswer = null;
    if (store.pinned) {
      const { label, point, ...question } = store.pinned;
      if (point) question.point = point;
      try {
        const found = await ask("answer", { ...question, course: store.now.course, detail: "light" });
        if (pinnedFor !== wanted) return;
        pinnedAnswer = { ...found, waves: unpackWaves(found.waves.waves, found.waves), label: t("circuit.pinned") };
      } catch (refused) {
        if (!(refused instanceof Refused)) throw refused;
      }
    }
    if (answer) showNumbers(answer);
    showPinned();
    player?.redraw();
  }
  function showPinned() {
    pinButton.textContent = t(store.pinned ? "circuit.unpin" : "circuit.pin");
    pinWords.textContent = store.pinned ? t("circuit.pinnedAs", { label: store.pinned.label }) : "";
    player?.pin(pinnedAnswer);
  }

  // ---------------------------------------------------------------- model, fault, point

  function fillChoices() {
    const { model, faults, point } = store.now;
    const models = choice({ id: "model", "data-model": true }, ["ideal", "textbook", "physical"].map((name) => [name, t(`circuit.models.${name}`)]), model);
    models.addEventListener("change", () => store.change({ model: models.value }));
    const whole = faults[0] ?? "";
    const stem = info.faults.find((words) => words === whole)
      ?? info.faults.find((words) => words.endsWith("=") && whole.startsWith(words)) ?? "";
    const offered = info.faults.filter((words) => !words.startsWith("load=") && !words.startsWith("mains="));
    const fault = choice({ id: "fault", "data-fault": true },
      [["", t("circuit.noFault")], ...offered.map((words) => [words, words.replace(/=$/, " …")])], stem);
    const value = make("input", { type: "text", id: "fault-value", value: stem.endsWith("=") ? whole.slice(stem.length) : "", autocomplete: "off",
      "aria-describedby": "fault-hint" });
    const valueBox = make("div", { hidden: !stem.endsWith("=") }, make("label", { for: "fault-value" }, t("circuit.faultValue")), value,
      make("p", { class: "hint", id: "fault-hint" }, t("circuit.faultHint")));
    const setFault = () => {
      const needs = fault.value.endsWith("=");
      valueBox.hidden = !needs;
      if (needs && !value.value.trim()) value.focus();
      else store.change({ faults: fault.value ? [needs ? `${fault.value}${value.value.trim()}` : fault.value] : [] });
    };
    fault.addEventListener("change", setFault);
    value.addEventListener("change", setFault);
    const points = choice({ id: "point", "data-point": true },
      info.points.map((name) => [name === "full_load" ? "" : name, known(`circuit.points.${name}`, name.replaceAll("_", " "))]), point);
    points.addEventListener("change", () => store.change({ point: points.value }));
    const focused = document.activeElement?.id;
    choices.replaceChildren(
      make("div", {}, make("label", { for: "model" }, t("circuit.model")), models),
      make("div", {}, make("label", { for: "fault" }, t("circuit.fault")), fault),
      valueBox,
      make("div", {}, make("label", { for: "point" }, t("circuit.point")), points));
    if (choices.querySelector(`#${focused || "none"}`)) document.getElementById(focused).focus();
  }

  // ---------------------------------------------------------------- the view

  async function refresh() {
    const { sheet } = store.now;
    nothing.hidden = Boolean(sheet);
    stage.hidden = !sheet;
    if (!sheet) return;
    course.fill();
    request("rest");
    try {
      info = await app.info();
    } catch (refused) {
      if (!(refused instanceof Refused)) throw refused;
      refuse(refused);
      return;
    }
    title.textContent = info.title || t("views.circuit");
    fillBoxes();
    fillSliders();
    fillChoices();
    await loadPinned();
    showPinned();
  }

  let stale = true;
  return {
    async show() {
      if (stale) {
        stale = false;
        await refresh();
      }
    },
    update(what, isShown) {
      if (what.length === 1 && what[0] === "pinned") loadPinned().then(showPinned);
      else if (isShown) refresh();
      else stale = true;
    },
  };
}
