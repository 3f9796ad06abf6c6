// The lesson page: sliders, time, ribbon, live values. All numbers come from compute(params).
"use strict";

function startLesson(data, compute) {
  const format = makeFormat(data.decimal);
  const all = (selector) => [...document.querySelectorAll(selector)];
  const params = {};
  let answer = null;
  let asked = 0;

  const axes = new Map(data.axes.map((axis) => [axis.key, axis]));
  const steps = 20; // positions of a slider between two computed values
  const valueAt = ({ values }, place) => {
    const t = place / steps / (values.length - 1);
    // At a computed value exactly that value, not one that a power has rounded.
    return place % steps === 0 ? values[place / steps] : values[0] * (values[values.length - 1] / values[0]) ** t;
  };

  // ---------------------------------------------------------------- what is shown

  const player = makePlayer(document.documentElement, data);

  // The moving circuit carries the values that it was computed for.
  const labels = data.axes.flatMap((axis) => axis.designators.flatMap((name) =>
    all(`.picture.moving .label[data-ref="${name}"] text`)
      .filter((text) => /^[\d.,]+ ?[µnpmkM]?(F|Ω|A|W)$/.test(text.textContent))
      .map((text) => ({ text, axis, own: text.textContent }))));
  function showLabels() {
    for (const { text, axis, own } of labels) {
      const value = answer.computedAt[axis.key];
      text.textContent = value === axis.values[axis.middle] ? own : format(value, axis.unit, 3);
    }
  }

  function showNeighbours() {
    const nearest = data.axes.map((axis) => format(answer.computedAt[axis.key], axis.unit, 3)).join(", ");
    for (const place of all("[data-nearest]")) {
      place.textContent = answer.isComputed
        ? `Waveforms and ribbon: computed for ${nearest}.`
        : `Waveforms and ribbon snap to the nearest computed values: ${nearest}. Readings are drawn between them.`;
    }
    for (const row of all("[data-limit]")) {
      const reading = answer.readings[row.dataset.of];
      if (!reading || reading.value === null) continue;
      const share = Math.abs(reading.value) / Number(row.dataset.limit);
      const margin = Number(row.dataset.margin);
      row.textContent = share > 1 ? "over the limit" : share > 1 - margin ? "thin" : "inside";
      row.dataset.verdict = share > 1 ? "over" : share > 1 - margin ? "thin" : "inside";
    }
    for (const chart of charts) chart(params);
  }

  function show() {
    showNeighbours();
    showLabels();
    player.show(answer);
  }

  async function refresh() {
    asked += 1;
    const turn = asked;
    const found = await compute({ ...params });
    if (turn !== asked) return; // a newer question is on its way
    answer = found;
    show();
  }

  // ---------------------------------------------------------------- readings against one key

  const charts = all("[data-chart]").map((host) => {
    const { reading, key, title } = data.charts[host.dataset.chart];
    const axis = axes.get(key);
    let width = 0;
    let latest = {};
    const picture = shape("svg", { role: "img" });
    host.replaceChildren(picture);
    async function draw() {
      if (width < 60 || !axis) return;
      const count = (axis.values.length - 1) * 6 + 1;
      const places = Array.from({ length: count }, (_, k) =>
        axis.values[0] * (axis.values[axis.values.length - 1] / axis.values[0]) ** (k / (count - 1)));
      const answers = await Promise.all([...places, latest[key] ?? axis.values[axis.middle]].map(
        (value) => compute({ ...latest, [key]: value })));
      const found = answers.map((one) => one.readings[reading]);
      const numbers = found.map((one) => Math.abs(one.value ?? 0));
      const [high, height, left, right, top, bottom] = [Math.max(...numbers) * 1.12 || 1, 220, 62, 14, 30, 176];
      const x = (k) => left + (k / (count - 1)) * (width - left - right);
      const y = (value) => bottom - (value / high) * (bottom - top);
      picture.replaceChildren();
      picture.setAttribute("viewBox", `0 0 ${width} ${height}`);
      picture.setAttribute("width", width);
      picture.setAttribute("height", height);
      picture.append(shape("text", { x: left, y: 16, class: "row-title" }, title));
      const step = roundStep(high, 4);
      for (let k = 0; k * step <= high; k += 1) {
        picture.append(shape("line", { x1: left, x2: width - right, y1: y(k * step), y2: y(k * step), class: k ? "grid" : "zero" }));
        picture.append(shape("text", { x: left - 6, y: y(k * step) + 4.5, class: "tick up" }, format(k * step, found[0].unit, 3)));
      }
      for (const k of [0, (count - 1) / 2, count - 1]) {
        picture.append(shape("line", { x1: x(k), x2: x(k), y1: bottom, y2: bottom + 5, class: "zero" }));
        picture.append(shape("text", { x: x(k), y: bottom + 19, class: `tick ${k === 0 ? "start" : k === count - 1 ? "up" : "along"}` },
          format(places[k], axis.unit, 3)));
      }
      picture.append(shape("text", { x: (left + width - right) / 2, y: height - 6, class: "tick along" }, `${axis.label}, logarithmic`));
      const line = numbers.slice(0, count).map((value, k) => `${x(k).toFixed(1)},${y(value).toFixed(1)}`);
      picture.append(shape("polyline", { points: line.join(" "), class: "curve load" }));
      const now = latest[key] ?? axis.values[axis.middle];
      const at = (Math.log(now / places[0]) / Math.log(places[count - 1] / places[0])) * (count - 1);
      picture.append(shape("circle", { cx: x(at), cy: y(numbers[count]), r: 6, class: "mark" }));
      const words = [0, (count - 1) / 2, count - 1].map((k) =>
        `${format(places[k], axis.unit, 3)}: ${format(found[k].value, found[k].unit, 3)}`).join("; ");
      picture.setAttribute("aria-label",
        `${title} against ${axis.label.toLowerCase()}. ${words}. Now at ${format(now, axis.unit, 3)}: ${format(found[count].value, found[count].unit, 3)}.`);
    }
    new ResizeObserver(([entry]) => {
      const now = Math.round(entry.contentRect.width);
      if (now !== width) {
        width = now;
        draw();
      }
    }).observe(host);
    return (next) => {
      latest = { ...next };
      draw();
    };
  });

  // ---------------------------------------------------------------- what is asked

  let waiting = 0;
  for (const slider of all("input[data-key]")) {
    const axis = axes.get(slider.dataset.key);
    slider.max = (axis.values.length - 1) * steps;
    slider.addEventListener("input", () => setPlace(axis, Number(slider.value)));
  }
  function setPlace(axis, place) {
    params[axis.key] = valueAt(axis, place);
    const words = format(params[axis.key], axis.unit, 4);
    for (const twin of all(`input[data-key="${axis.key}"]`)) {
      twin.value = place;
      twin.setAttribute("aria-valuetext", words);
    }
    for (const output of all(`[data-value-of="${axis.key}"]`)) output.textContent = words;
    // One look-up a frame is enough, however fast the slider moves.
    if (!waiting) {
      waiting = requestAnimationFrame(() => {
        waiting = 0;
        refresh();
      });
    }
  }
  for (const button of all("[data-reset]")) {
    button.addEventListener("click", () => {
      for (const axis of data.axes) setPlace(axis, axis.middle * steps);
    });
  }

  // ---------------------------------------------------------------- modes

  const stages = all("main > section");
  let stage = 0;
  const projector = document.querySelector("[data-projector]");
  function showStage(index) {
    stage = Math.min(Math.max(index, 0), stages.length - 1);
    stages.forEach((section, k) => section.classList.toggle("shown", k === stage));
    document.querySelector("[data-back]").disabled = stage === 0;
    document.querySelector("[data-next]").disabled = stage === stages.length - 1;
    document.querySelector("[data-stage]").textContent = `${stage + 1} of ${stages.length}`;
    window.scrollTo(0, 0);
  }
  function project(isOn) {
    document.body.classList.toggle("projector", isOn);
    projector.setAttribute("aria-pressed", String(isOn));
    if (isOn) showStage(Math.max(stages.findIndex((section) => section.getBoundingClientRect().bottom > 120), 0));
    else stages[stage].scrollIntoView();
  }
  projector.addEventListener("click", () => project(!document.body.classList.contains("projector")));
  document.querySelector("[data-back]").addEventListener("click", () => showStage(stage - 1));
  document.querySelector("[data-next]").addEventListener("click", () => showStage(stage + 1));
  document.addEventListener("keydown", (event) => {
    if (!document.body.classList.contains("projector")) return;
    if (event.key === "PageDown" || event.key === "PageUp") {
      event.preventDefault();
      showStage(stage + (event.key === "PageDown" ? 1 : -1));
    } else if (event.key === "Escape") project(false);
  });
  for (const link of all("nav a")) link.addEventListener("click", (event) => {
    if (!document.body.classList.contains("projector")) return;
    event.preventDefault();
    showStage(stages.findIndex((section) => `#${section.id}` === link.getAttribute("href")));
  });
  for (const choice of all("[data-theme-choice]")) choice.addEventListener("change", () => {
    document.documentElement.dataset.theme = choice.value;
  });
  for (const button of all("[data-print]")) button.addEventListener("click", () => window.print());
  // Paper shows what is open on the screen.
  for (const button of all("[data-open-all]")) button.addEventListener("click", () => {
    const isOpening = button.getAttribute("aria-pressed") !== "true";
    for (const part of all("main details")) part.open = isOpening;
    button.setAttribute("aria-pressed", String(isOpening));
  });
  // What is wider than its frame can be scrolled by keyboard too.
  function markScrollers() {
    for (const frame of all(".scroll, .lines, .picture, .from, figure")) {
      if (frame.scrollWidth > frame.clientWidth + 1) {
        frame.tabIndex = 0;
        frame.setAttribute("role", "group");
        if (!frame.hasAttribute("aria-label")) frame.setAttribute("aria-label", "wider than the screen");
      } else {
        frame.removeAttribute("tabindex");
        frame.removeAttribute("role");
      }
    }
  }
  window.addEventListener("resize", markScrollers);
  document.addEventListener("toggle", markScrollers, true);
  markScrollers();

  document.documentElement.classList.add("alive");
  return refresh();
}

const lessonData = JSON.parse(document.getElementById("lesson-data").textContent);
// The one seam: whoever serves this page may bring another maker of the same compute.
window.railwrightCompute = makeLookUp(lessonData);
window.railwrightReady = startLesson(lessonData, window.railwrightCompute);
