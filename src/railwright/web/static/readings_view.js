// All readings in their columns, who conducts when, and the proof.
import { ask, Refused } from "./api.js";
import { make, table } from "./elements.js";
import { known, t } from "./words.js";

export const id = "readings";

// What a class asks of first, first.
const ORDER = ["load", "rectifier", "C", "D", "L", "R", "U", "Z", "secondary", "T1", "tap", "primary", "mains", "supply"];
function rank(name) {
  const place = ORDER.findIndex((stem) => name.startsWith(stem));
  return place < 0 ? ORDER.length : place;
}

// By hand and computed agree: less than this isn't seen in any figure shown.
const AGREED = 5e-4;

export function mount(host, app) {
  const { store } = app;
  const words = make("p", { role: "status" });
  const search = make("input", { type: "search", id: "reading-search", autocomplete: "off" });
  const place = make("div", { class: "all-readings" });
  const conduction = make("ol");
  const proof = make("div");
  host.append(
    make("h1", { id: "view-readings-title" }, t("readings.title")),
    make("p", { class: "lead" }, t("readings.lead")),
    make("p", { class: "search" }, make("label", { for: "reading-search" }, t("readings.search")), search),
    words, place,
    make("details", {}, make("summary", {}, t("readings.conduction")), conduction),
    make("details", {}, make("summary", {}, t("readings.proof")), make("p", {}, t("readings.proofLead")), proof));

  function filter() {
    const wanted = search.value.toLowerCase().split(/\s+/).filter(Boolean);
    let count = 0;
    for (const row of place.querySelectorAll("tbody tr")) {
      const found = row.textContent.toLowerCase();
      row.hidden = !wanted.every((word) => found.includes(word));
      count += !row.hidden;
    }
    words.textContent = t("readings.count", { count });
  }
  search.addEventListener("input", filter);

  function row([name, reading]) {
    const hand = reading.hand?.[0];
    const isOff = hand && hand.difference !== null && Math.abs(hand.difference) >= AGREED;
    const off = isOff ? `${hand.difference > 0 ? "+" : "−"}${Math.abs(hand.difference * 100).toPrecision(2)} %` : "";
    return make("tr", {},
      make("th", { scope: "row" }, reading.name === name ? "" : reading.name, make("span", { class: reading.name === name ? "ids" : "ids spare" }, name)),
      make("td", { class: "hand" }, hand?.shown ?? ""),
      make("td", { class: "computed" }, make("span", { "data-reading": name }, reading.value === null ? reading.reason ?? "" : reading.shown)),
      make("td", {}, off),
      make("td", { class: "words" }, reading.why ?? ""));
  }

  let turn = 0;
  async function refresh() {
    turn += 1;
    const mine = turn;
    const { sheet, course, model, faults, point, mains } = store.now;
    if (!sheet) {
      words.textContent = t("readings.none");
      return;
    }
    words.textContent = t("readings.working");
    const question = { sheet, course, model, faults, mains };
    if (point) question.point = point;
    try {
      const found = await ask("readings", question);
      if (mine !== turn) return;
      const all = Object.entries(found.readings).filter(([name]) => !name.includes(".harmonic_"))
        .sort(([one], [other]) => rank(one) - rank(other));
      const head = [t("readings.reading"), t("readings.byHand"), t("readings.computed"), t("readings.off"), t("readings.why")];
      const named = all.filter(([name, reading]) => reading.name !== name);
      const others = all.filter(([name, reading]) => reading.name === name);
      place.replaceChildren(
        table(head, named.map(row), t("readings.table")),
        make("details", {}, make("summary", {}, t("readings.others")),
          table(head, others.map(row), t("readings.others"))));
      conduction.replaceChildren(...found.conductionWords.map((sentence) => make("li", {}, sentence)));
      proof.replaceChildren(table([t("readings.balance"), t("readings.share")],
        Object.entries(found.proof).map(([name, value]) => make("tr", {},
          make("th", { scope: "row" }, known(`readings.proofs.${name}`, name)),
          make("td", { "data-proof": name }, value === 0 ? "0" : value.toExponential(1).replace("-", "−")))), t("readings.proof")));
      filter();
    } catch (refused) {
      if (!(refused instanceof Refused)) throw refused;
      if (mine !== turn) return;
      place.replaceChildren();
      conduction.replaceChildren();
      proof.replaceChildren();
      words.textContent = refused.message;
    }
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
      if (what.length === 1 && what[0] === "pinned") return;
      if (isShown) refresh();
      else stale = true;
    },
  };
}
