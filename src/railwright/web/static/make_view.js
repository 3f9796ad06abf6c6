// Making: lesson, hand-out, film and the rest, each with its choices, its progress and an end.
import { Refused } from "./api.js";
import { choice, make } from "./elements.js";
import { begin, fileAddress, follow, list, stop } from "./jobs.js";
import { t } from "./words.js";

export const id = "make";

const KINDS = [
  "board", "schematic", "path", "waveforms", "stages", "spectrum", "start-up", "ladder", "validity", "diode-curve",
  "scope-screen",
];
const PRODUCTS = ["lesson", "handout", "film", "stills", "working", "figure", "waveforms", "table"];

export function mount(host, app) {
  const { store } = app;
  const refusal = make("p", { class: "fault", role: "alert" });
  const jobs = make("ul", { class: "job-list" });
  const nothing = make("p", {}, t("make.nothing"));
  const fields = {};

  function labelled(name, key, node) {
    node.id = `make-${name}-${key}`;
    fields[name] = { ...fields[name], [key]: node };
    return make("div", {}, make("label", { for: node.id }, t(`make.${key}`)), node);
  }
  const choices = {
    lesson: () => [labelled("lesson", "edition", choice({}, [["student", t("make.student")], ["teacher", t("make.teacher")]], "student"))],
    working: () => [labelled("working", "writing", choice({}, ["html", "md", "tex"].map((form) => [form, t(`make.writings.${form}`)]), "html"))],
    figure: () => [
      labelled("figure", "kind", choice({}, KINDS.map((kind) => [kind, t(`make.kinds.${kind}`)]), "board")),
      labelled("figure", "form", choice({}, ["svg", "png", "pdf"].map((form) => [form, form.toUpperCase()]), "svg")),
      tick("figure", "copier"),
    ],
    table: () => [
      labelled("table", "over", choice({}, [], "")),
      labelled("table", "from", make("input", { type: "text", autocomplete: "off" })),
      labelled("table", "to", make("input", { type: "text", autocomplete: "off" })),
      labelled("table", "points", choice({}, ["5", "11", "21", "41"].map((n) => [n, n]), "11")),
    ],
  };
  function tick(name, key) {
    const node = make("input", { type: "checkbox", id: `make-${name}-${key}` });
    fields[name] = { ...fields[name], [key]: node };
    return make("label", { class: "tick-box" }, node, t(`make.${key}`));
  }

  const products = make("ul", { class: "products" }, PRODUCTS.map((name) => make("li", { class: "product" },
    make("h2", {}, t(`make.products.${name}`)),
    make("p", { class: "hint" }, t(`make.hints.${name}`)),
    choices[name]?.() ?? [],
    make("p", {}, make("button", { type: "button", class: "primary", "data-make": name, onclick: () => run(name) },
      t("make.button"), make("span", { class: "unseen" }, ` ${t(`make.products.${name}`)}`))))));
  host.append(
    make("h1", { id: "view-make-title" }, t("make.title")),
    make("p", { class: "lead" }, t("make.lead")),
    refusal, products,
    make("h2", {}, t("make.making")), nothing, jobs);

  function optionsOf(name) {
    const options = {};
    for (const [key, node] of Object.entries(fields[name] ?? {})) {
      if (node.type === "checkbox") options[key] = node.checked;
      else if (key === "points") options[key] = Number(node.value);
      else options[key] = node.value;
    }
    return options;
  }

  async function run(name) {
    refusal.textContent = "";
    if (!store.now.sheet) {
      refusal.textContent = t("circuit.none");
      return;
    }
    try {
      await app.info();
      watch(await begin(app, name, optionsOf(name)));
    } catch (refused) {
      if (!(refused instanceof Refused)) throw refused;
      refusal.textContent = t("make.refused", { words: refused.message });
    }
  }

  const watched = new Set();
  function watch(job) {
    if (watched.has(job.id)) return;
    watched.add(job.id);
    const heading = make("strong", {});
    const words = make("span", {});
    const bar = make("progress", { max: 1, value: 0, "aria-label": t(`make.products.${job.product}`) });
    const files = make("ul", { class: "files" });
    const button = make("button", { type: "button", onclick: async () => {
      button.disabled = true;
      await stop(job).catch(() => null);
      if (button.dataset.rests) {
        entry.remove();
        nothing.hidden = jobs.children.length > 0;
      }
    } }, t("make.end"));
    const entry = make("li", { class: "job", "data-job": job.product }, make("p", { role: "status" }, heading, " ", words), bar,
      files, make("p", {}, button));
    jobs.prepend(entry);
    nothing.hidden = true;
    follow(job, (now) => {
      entry.dataset.state = now.state;
      heading.textContent = t("make.progress", { product: t(`make.products.${now.product}`), state: t(`make.state.${now.state}`) });
      words.textContent = ["done", "ended"].includes(now.state) ? "" : now.words;
      bar.value = now.done;
      if (["waiting", "working"].includes(now.state)) return;
      bar.hidden = true;
      button.dataset.rests = "yes";
      button.disabled = false;
      button.textContent = t("make.forget");
      files.replaceChildren(...now.files.map((file) => make("li", {},
        make("a", { href: fileAddress(now, file), download: file.name, class: "button" }, `${t("make.save")} ${file.name}`))));
    });
  }

  async function fillTable() {
    if (!store.now.sheet) return;
    const { over, from, to } = fields.table;
    const info = await app.info().catch(() => null);
    const offered = (info?.sliders ?? []).map((spec) => [spec.key, spec.label]);
    over.replaceChildren(...offered.map(([key, label]) => make("option", { value: key }, label)));
    const fill = () => {
      const spec = info?.sliders.find(({ key }) => key === over.value);
      if (!spec) return;
      const format = makeFormat(store.decimal());
      [from.value, to.value] = [format(spec.low, spec.unit, 3), format(spec.high, spec.unit, 3)];
    };
    over.onchange = fill;
    const load = info?.sliders.find(({ part }) => part === "load");
    if (load) over.value = load.key;
    fill();
  }

  return {
    async show() {
      await fillTable();
      for (const job of (await list()).reverse()) watch(job);
    },
    update(what, isShown) {
      if (isShown && what.includes("sheet")) fillTable();
    },
  };
}
