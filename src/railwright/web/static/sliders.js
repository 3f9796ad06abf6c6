// A slider of a sheet key on a logarithmic scale, its value beside it with the unit.
import { make } from "./elements.js";

const STEPS = 160;
// How a value is written into the sheet: unit and size, so that no exponent is needed.
const WRITTEN = { F: ["uF", 1e-6], ohm: ["ohm", 1], A: ["mA", 1e-3], W: ["mW", 1e-3], V: ["V", 1], H: ["mH", 1e-3] };

export function slider(spec, value, format, { onMove, onRest }) {
  const { low, high, unit, key } = spec;
  const own = value;
  const at = (one) => Math.round((Math.log(one / low) / Math.log(high / low)) * STEPS);
  const ownPlace = at(own);
  // At the sheet's place exactly the sheet's value, else three figures, as somebody would choose it.
  const valueAt = (place) => (place === ownPlace ? own : Number((low * (high / low) ** (place / STEPS)).toPrecision(3)));
  const name = `slider-${key.replaceAll(".", "-")}`;
  const output = make("output", { for: name, "data-value-of": key, "aria-live": "off" });
  const input = make("input", { type: "range", id: name, min: 0, max: STEPS, step: 1, "data-key": key });
  const node = make("div", { class: "slider" }, make("label", { for: name }, spec.label), output, input);

  function say(one) {
    const words = format()(one, unit, 4);
    output.textContent = words;
    input.setAttribute("aria-valuetext", words);
  }
  input.addEventListener("input", () => {
    const now = valueAt(Number(input.value));
    say(now);
    const [sign, size] = WRITTEN[unit] ?? [unit, 1];
    onMove(spec, now, `${Number((now / size).toPrecision(9))} ${sign}`);
  });
  input.addEventListener("change", () => onRest());
  input.value = ownPlace;
  say(own);
  return {
    node,
    unit,
    holds: (one) => one >= low * 0.999 && one <= high * 1.001,
    set(one) {
      if (document.activeElement !== input || at(one) !== Number(input.value)) input.value = at(one);
      say(one);
    },
  };
}
