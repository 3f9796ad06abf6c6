// A stack of waveforms on one axis of angle and time, with bands of conduction and one movable cursor.
"use strict";

const SVG = "http://www.w3.org/2000/svg";

function shape(name, attributes, text) {
  const node = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) node.setAttribute(key, value);
  if (text !== undefined) node.textContent = text;
  return node;
}

// A step of 1, 2 or 5 times a power of ten that gives at most so many.
function roundStep(span, most) {
  const raw = span / most;
  const power = 10 ** Math.floor(Math.log10(raw));
  return [1, 2, 5, 10].map((k) => k * power).find((step) => step >= raw * 0.999);
}

function makePlot(host, spec, format) {
  const picture = shape("svg", { role: "img", focusable: "false" });
  host.replaceChildren(picture);
  const margin = { left: 58, right: 14, top: 4, bottom: 40 };
  const wide = 150;
  let cursor = null;
  let width = 0;
  let answer = null;
  let bands = [];
  let pinned = null;
  let whole = 360;

  const across = (degrees) => margin.left + (degrees / whole) * (width - margin.left - margin.right);

  function legend(row, top) {
    const group = shape("g", { class: "legend" });
    group.append(shape("text", { x: margin.left, y: top + 14, class: "row-title" }, row.title));
    let x = margin.left;
    let y = top + 34;
    for (const curve of row.curves) {
      const length = 34 + curve.label.length * 7.4 + 16;
      if (x > margin.left && x + length > width - margin.right) [x, y] = [margin.left, y + 19];
      group.append(shape("line", { x1: x, x2: x + 26, y1: y - 5, y2: y - 5, class: `curve ${curve.look}` }));
      group.append(shape("text", { x: x + 32, y }, curve.label));
      x += length;
    }
    if (pinned && row.curves.some((curve) => pinned.waves[curve.wave])) {
      if (x > margin.left && x + 34 + pinned.label.length * 7.4 > width - margin.right) [x, y] = [margin.left, y + 19];
      group.append(shape("line", { x1: x, x2: x + 26, y1: y - 5, y2: y - 5, class: "curve pinned" }));
      group.append(shape("text", { x: x + 32, y }, pinned.label));
    }
    return [group, y + 8];
  }

  function drawBands(top, bottom, isFirst) {
    const group = shape("g", { class: "bands" });
    let named = -Infinity;
    bands.forEach(({ from, to, on }) => {
      if (!on.length) return;
      const [left, right] = [across(from), across(to)];
      group.append(shape("rect", { x: left, y: top, width: Math.max(right - left, 0.5), height: bottom - top }));
      const words = on.join(" ");
      if (isFirst && right - left > 4 && (left + right) / 2 - named > words.length * 7.5) {
        group.append(shape("text", { x: (left + right) / 2, y: top + 13, class: "band-name" }, words));
        named = (left + right) / 2;
      }
    });
    return group;
  }

  function drawRow(row, top, isFirst) {
    const [words, plotTop] = legend(row, top);
    const plotBottom = plotTop + wide;
    const curves = row.curves
      .map((curve) => ({ ...curve, values: curve.values ?? answer.waves[curve.wave] }))
      .filter((curve) => curve.values);
    // What was pinned lies under the present curves, and shares their scale.
    const under = pinned
      ? row.curves.filter((curve) => pinned.waves[curve.wave]).map((curve) => ({ values: pinned.waves[curve.wave], look: "pinned" }))
      : [];
    curves.unshift(...under);
    let low = row.fromZero === false ? Infinity : 0;
    let high = row.fromZero === false ? -Infinity : 0;
    for (const { values } of curves) for (const value of values) [low, high] = [Math.min(low, value), Math.max(high, value)];
    if (!(high > low)) [low, high] = [low - 0.5, high + 0.5];
    const air = 0.08 * (high - low);
    [low, high] = [low - (low < 0 || row.fromZero === false ? air : 0), high + (isFirst ? 2.4 : 1) * air];
    const up = (value) => plotBottom - ((value - low) / (high - low)) * wide;
    const group = shape("g", {});
    group.append(words, drawBands(plotTop, plotBottom, isFirst));
    const step = roundStep(high - low, 5);
    const digits = Math.max(2, Math.ceil(Math.log10(Math.max(Math.abs(low), Math.abs(high)) / step) - 1e-9) + 1);
    for (let k = Math.ceil(low / step); k * step <= high; k += 1) {
      const y = up(k * step);
      group.append(shape("line", { x1: margin.left, x2: width - margin.right, y1: y, y2: y, class: k === 0 ? "zero" : "grid" }));
      group.append(shape("text", { x: margin.left - 6, y: y + 4.5, class: "tick up" }, format(k * step, row.unit, Math.min(digits, 5))));
    }
    for (const { values, look } of curves) {
      const points = [];
      for (let n = 0; n < values.length; n += 1) {
        points.push(`${across((n / (values.length - 1)) * whole).toFixed(1)},${up(values[n]).toFixed(1)}`);
      }
      group.append(shape("polyline", { points: points.join(" "), class: `curve ${look}` }));
    }
    return [group, plotTop, plotBottom];
  }

  function drawFoot(top) {
    const group = shape("g", { class: "foot" });
    const step = width < 620 ? 90 : 45;
    for (let degrees = 0; degrees <= whole; degrees += step * (whole / 360)) {
      const x = across(degrees);
      group.append(shape("line", { x1: x, x2: x, y1: top, y2: top + 5, class: "zero" }));
      // The first and last words stay inside the frame.
      const side = degrees === 0 ? "start" : degrees >= whole - 1 ? "up" : "along";
      group.append(shape("text", { x, y: top + 19, class: `tick ${side}` }, `${degrees}°`));
      if (((degrees / whole) * (width < 480 ? 2 : 4)) % 1 === 0) {
        const time = (answer.period * 1000 * degrees) / whole;
        group.append(shape("text", { x, y: top + 35, class: `tick ${side}` }, `${Number(time.toPrecision(3))} ms`));
      }
    }
    return group;
  }

  function inWords() {
    const told = [];
    for (const row of spec.rows) {
      for (const curve of row.curves) {
        const values = curve.values ?? answer.waves[curve.wave];
        if (values) {
          const low = format(values.reduce((a, b) => Math.min(a, b)), row.unit, 3);
          const high = format(values.reduce((a, b) => Math.max(a, b)), row.unit, 3);
          told.push(`${curve.label} from ${low} to ${high}`);
        }
      }
    }
    const who = bands.map(({ from, to, on }) =>
      `${from.toFixed(0)}° to ${to.toFixed(0)}° ${on.length ? on.join(", ") : "no diode"}`);
    return `One period, 0 to ${(answer.period * 1000).toPrecision(3)} ms. ${told.join("; ")}. Conducting: ${who.join("; ")}.`;
  }

  function draw() {
    if (!answer || width < 60) return;
    picture.replaceChildren();
    let top = 0;
    let [first, last] = [null, 0];
    spec.rows.forEach((row, k) => {
      const [group, plotTop, plotBottom] = drawRow(row, top, k === 0);
      picture.append(group);
      first ??= plotTop;
      last = plotBottom;
      top = plotBottom + 14;
    });
    picture.append(drawFoot(last));
    const height = last + margin.bottom;
    picture.setAttribute("viewBox", `0 0 ${width} ${height}`);
    picture.setAttribute("height", height);
    picture.setAttribute("width", width);
    cursor = shape("line", { y1: first, y2: last, class: "cursor" });
    picture.append(cursor);
    const words = inWords();
    picture.setAttribute("aria-label", `${spec.title}. ${words}`);
    const told = document.getElementById(`${host.id}-words`);
    if (told) told.textContent = words;
  }

  const observer = new ResizeObserver(([entry]) => {
    const now = Math.round(entry.contentRect.width);
    if (now !== width) {
      width = now;
      draw();
      host.dispatchEvent(new Event("drawn"));
    }
  });
  observer.observe(host);

  return {
    leave: () => observer.disconnect(),
    show(next, nextBands, nextPinned = null) {
      [answer, bands, pinned, whole] = [next, nextBands, nextPinned, next.degrees];
      draw();
    },
    point(degrees) {
      if (!cursor) return;
      cursor.setAttribute("x1", across(degrees));
      cursor.setAttribute("x2", across(degrees));
    },
    degreesAt(x) {
      return ((x - margin.left) / (width - margin.left - margin.right)) * whole;
    },
  };
}
