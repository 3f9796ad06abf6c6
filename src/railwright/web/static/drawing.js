// The circuit's drawing with the ways of the current laid on it: the server draws, the page only puts together.
import { fromXml } from "./elements.js";

const SVG = "http://www.w3.org/2000/svg";

export function makeDrawing(host) {
  let name = "";
  let frame = null;
  let picture = null;
  let layers = {};
  let labels = [];

  function fit() {
    if (!picture || !frame) return;
    const [left, top, right, bottom] = frame;
    picture.setAttribute("viewBox", `${left} ${top} ${right - left} ${bottom - top}`);
    picture.removeAttribute("width");
    picture.removeAttribute("height");
  }

  function layer(where) {
    const group = document.createElementNS(SVG, "g");
    layers[where] = group;
    return group;
  }

  return {
    name: () => name,
    // The names of the ways that are here.
    ways: () => [...new Set([...host.querySelectorAll("[data-moment]")].map((part) => part.dataset.moment))],
    // The circuit itself, if it is another one.
    take(circuit) {
      if (circuit.name === name || circuit.svg === undefined) return false;
      name = circuit.name;
      frame = circuit.frame;
      picture = circuit.svg ? fromXml(circuit.svg, "image/svg+xml") : null;
      layers = {};
      if (!picture) {
        const words = document.createElement("p");
        words.textContent = circuit.description;
        host.replaceChildren(words);
        return true;
      }
      const first = [...picture.children].find((child) => !["title", "desc", "defs"].includes(child.localName));
      picture.insertBefore(layer("under"), first);
      picture.append(layer("over"));
      host.replaceChildren(picture);
      labels = [...picture.querySelectorAll(".label[data-ref] text")].map((text) => ({
        ref: text.closest("[data-ref]").dataset.ref, text, own: text.textContent,
      }));
      fit();
      return true;
    },
    lay(ways) {
      for (const [way, { svg, box }] of Object.entries(ways)) {
        if (!picture || !svg || host.querySelector(`[data-moment="${way}"]`)) continue;
        const drawn = fromXml(svg, "image/svg+xml");
        if (!drawn) continue;
        for (const defs of drawn.querySelectorAll("defs")) picture.append(defs);
        for (const group of [...drawn.querySelectorAll("[data-layer]")]) layers[group.dataset.layer].append(group);
        if (box && frame) {
          const grown = frame.map((side, k) => (k < 2 ? Math.min(side, box[k]) : Math.max(side, box[k])));
          if (grown.some((side, k) => side !== frame[k])) {
            frame = grown;
            fit();
          }
        }
      }
    },
    // While sliders move, only the values in the drawing change.
    label(values) {
      for (const { ref, text, own } of labels) {
        const value = values[ref];
        const isValue = /^[\d.,]+ ?[µnpmkM]?(F|Ω|A|W|V|H)$/.test(own);
        text.textContent = value && isValue ? value : own;
      }
    },
    clear() {
      name = "";
      picture = null;
      host.replaceChildren();
    },
  };
}
