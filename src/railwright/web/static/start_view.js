// The first view: eight circuits, a sheet of one's own, the harbour's supplies.
import { ask } from "./api.js";
import { choice, make } from "./elements.js";
import { t } from "./words.js";

export const id = "start";

const CIRCUITS = [
  "half-wave", "centre-tap", "bridge", "bridge-choke", "bridge-regulator", "dual-rail", "full-wave-doubler",
  "half-wave-doubler",
];

export function mount(host, app) {
  const goOn = make("p", { class: "go-on", hidden: true });
  const chooser = choice({ id: "example" }, [["", t("start.exampleChoose")]], "");
  const file = make("input", {
    type: "file", id: "open-sheet", accept: ".toml,text/plain", "aria-describedby": "open-hint",
    onchange: async () => {
      await app.openFile(file.files[0]);
      file.value = "";
    },
  });
  host.append(
    make("h1", { id: "view-start-title" }, t("start.title")),
    make("p", { class: "lead" }, t("start.lead")),
    goOn,
    make("ul", { class: "cards" }, CIRCUITS.map((name) => make("li", {},
      make("button", { type: "button", "data-circuit": name, onclick: () => begin(name) },
        make("img", { src: `/static/circuits/${name}.svg`, alt: "", width: "240", height: "136" }),
        make("span", {}, t(`circuits.${name}`)))))),
    make("h2", {}, t("start.other")),
    make("div", { class: "others" },
      make("div", {}, make("label", { for: "open-sheet" }, t("start.open")), file,
        make("p", { class: "hint", id: "open-hint" }, t("start.openHint"))),
      make("div", {}, make("label", { for: "example" }, t("start.example")), chooser)),
  );

  async function begin(name) {
    const { course } = app.store.now;
    const { sheet, ...info } = await ask("begin", {
      circuit: name, region: course.profile, title: t(`circuits.${name}`), decimal: ".",
    });
    app.store.begin({ sheet }, course.decimal === "," ? null : info);
    app.go("circuit");
  }

  let examples = null;
  async function fill() {
    if (examples) return;
    ({ examples } = await app.examples());
    chooser.append(...examples.map(({ name }) => make("option", { value: name }, name.replaceAll("-", " "))));
  }
  chooser.addEventListener("change", () => {
    const found = examples.find(({ name }) => name === chooser.value);
    chooser.value = "";
    if (found) app.openText(found.sheet);
  });

  return {
    show() {
      fill();
      const { sheet } = app.store.now;
      goOn.hidden = !sheet;
      if (sheet) {
        const title = /^title\s*=\s*"([^"\n]*)"/m.exec(sheet)?.[1] ?? t("views.circuit");
        goOn.replaceChildren(make("a", { href: "#circuit", class: "button" }, t("start.goOn", { title })));
      }
    },
  };
}
