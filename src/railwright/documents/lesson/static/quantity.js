// Numbers as the trade writes them: "2200 µF", "150 mA", "61.2°". The same rules as the sheets' own formatter.
"use strict";

const PREFIXES = {
  V: [[1e4, "k", 1e3], [0.1, "", 1], [1e-3, "m", 1e-3], [0, "µ", 1e-6]],
  W: [[1e6, "M", 1e6], [1e4, "k", 1e3], [0.1, "", 1], [1e-3, "m", 1e-3], [0, "µ", 1e-6]],
  VA: [[1e6, "M", 1e6], [1e4, "k", 1e3], [0.1, "", 1], [1e-3, "m", 1e-3], [0, "µ", 1e-6]],
  A: [[1e4, "k", 1e3], [1, "", 1], [1e-3, "m", 1e-3], [1e-6, "µ", 1e-6], [0, "n", 1e-9]],
  ohm: [[1e6, "M", 1e6], [1e3, "k", 1e3], [0.1, "", 1], [0, "m", 1e-3]],
  F: [[1, "", 1], [1e-6, "µ", 1e-6], [1e-9, "n", 1e-9], [0, "p", 1e-12]],
};
const SYMBOLS = { ohm: "Ω", deg: "°" };

function makeFormat(decimal) {
  function significant(value, digits, isPadded) {
    if (value === 0) return "0";
    const fixed = value.toPrecision(digits);
    const text = isPadded && !fixed.includes("e") ? fixed : Number(fixed).toString();
    return text.replace("e+", "e").replace(".", decimal).replace("-", "−");
  }
  // With `isPadded` zeros at the end are kept, as a result to so many figures is written.
  return function format(value, unit, digits, isPadded = false) {
    if (value === null || !Number.isFinite(value)) return "no value";
    if (unit === "1") return `${significant(value * 100, digits, isPadded)} %`;
    if (unit === "deg") return `${significant(value, digits, isPadded)}°`;
    let [prefix, factor] = ["", 1];
    if (value !== 0 && PREFIXES[unit]) {
      const size = Math.abs(Number(value.toPrecision(digits)));
      [, prefix, factor] = PREFIXES[unit].find(([from]) => size >= from * (1 - 1e-12));
    }
    return `${significant(value / factor, digits, isPadded)} ${prefix}${SYMBOLS[unit] ?? unit}`;
  };
}
