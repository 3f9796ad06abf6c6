// Print for tomorrow: the hand-out is made, and the print window opens with the student's copy.
import { Refused } from "./api.js";
import { make } from "./elements.js";
import { begin, fileAddress, follow } from "./jobs.js";
import { t } from "./words.js";

export function printForTomorrow(app) {
  const words = make("p", { role: "status" });
  const bar = make("progress", { max: 1, value: 0, "aria-label": t("print.button"), hidden: true });
  const files = make("div");
  const state = make("div", { class: "printing" }, words, bar, files);
  const button = make("button", { type: "button", class: "primary", "data-print": true, onclick: run }, t("print.button"));

  async function run() {
    button.disabled = true;
    files.replaceChildren();
    bar.hidden = false;
    try {
      const job = await follow(await begin(app, "handout"), ({ done, words: doing }) => {
        bar.value = done;
        words.textContent = t("print.working", { words: doing });
      });
      if (job.state === "done") ready(job);
      else failed(job.words);
    } catch (refused) {
      if (!(refused instanceof Refused)) throw refused;
      failed(refused.message);
    }
    bar.hidden = true;
    button.disabled = false;
  }

  function ready(job) {
    words.textContent = t("print.ready");
    files.replaceChildren(make("ul", { class: "files", "aria-label": t("print.files") }, job.files.map((file) => make("li", {},
      make("a", { href: fileAddress(job, file), download: file.name, class: "button" }, file.name)))));
    const copy = job.files.find(({ name }) => name.endsWith("student.pdf"));
    if (copy) printFile(`${fileAddress(job, copy)}?show=1`);
  }

  // The browser's own viewer prints the PDF; where it has none, the file is there to be opened.
  function printFile(address) {
    document.querySelector("iframe.print")?.remove();
    const frame = make("iframe", { class: "print", src: address, title: t("print.button"), tabindex: "-1", "aria-hidden": "true" });
    frame.addEventListener("load", () => {
      document.documentElement.dataset.printed = address;
      try {
        frame.contentWindow.focus();
        frame.contentWindow.print();
      } catch { /* a viewer of another kind: the links remain */ }
    });
    document.body.append(frame);
  }

  function failed(reason) {
    words.textContent = t("print.failed", { words: reason });
    files.replaceChildren(make("button", { type: "button", onclick: () => window.print() }, t("print.page")));
  }

  return { button, state };
}
