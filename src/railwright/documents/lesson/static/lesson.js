// The lesson page: sliders, time, ribbon, live values. All numbers come from compute(params).
"use strict";

function startLesson(data, compute) {
  const format = makeFormat(data.decimal);
  const all = (selector) => [...document.querySelectorAll(selector)];
  const calm = window.matchMedia("(prefers-reduced-motion: reduce)");
  const params = {};
  let degrees = data.startDegrees;
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

  const plots = all("[data-plot]").map((host) => makePlot(host, data.plots[host.dataset.plot], format));

  function wayAt(angle) {
    const count = answer.waves[data.waves[0]].length;
    const sample = Math.min(Math.round((angle / answer.degrees) * (count - 1)), count - 1);
    let way = answer.moments[0][1];
    for (const [first, one] of answer.moments) {
      if (first > sample) break;
      way = one;
    }
    return way;
  }

  function waveAt(name) {
    const values = answer.waves[name];
    if (!values) return null;
    const place = (degrees / answer.degrees) * (values.length - 1);
    const low = Math.min(Math.floor(place), values.length - 2);
    return values[low] + (values[low + 1] - values[low]) * (place - low);
  }

  // Stretches with the same diodes on.
  function bands() {
    const count = answer.waves[data.waves[0]].length;
    const found = [];
    answer.moments.forEach(([first, way], k) => {
      const end = k + 1 < answer.moments.length ? answer.moments[k + 1][0] : count - 1;
      const [from, to] = [first, end].map((n) => (n / (count - 1)) * answer.degrees);
      const { on } = data.ways[way];
      const before = found[found.length - 1];
      if (before && before.on.join() === on.join()) before.to = to;
      else if (to > from) found.push({ from, to, on });
    });
    return found;
  }

  function told(way) {
    return way.caption.replace(/\{([iv]):([^}]+)\}/g, (_, kind, name) => {
      const unit = kind === "i" ? "A" : "V";
      const value = waveAt(`${name}.${kind === "i" ? "current" : "voltage"}`);
      return format(value === null ? null : Math.abs(value), unit, 3);
    });
  }

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

  function showMoment() {
    const index = wayAt(degrees);
    const way = data.ways[index];
    for (const part of all("[data-moment]")) part.classList.toggle("now", Number(part.dataset.moment) === index);
    for (const words of all(".moment.now .blocking-voltage[data-ref]")) {
      const value = waveAt(`${words.dataset.ref}.voltage`);
      const last = [...words.querySelectorAll("text")].pop();
      if (value !== null && last) {
        last.textContent = last.textContent.replace(/[\d.,]+ [mkµ]?V/, format(Math.abs(value), "V", 3));
      }
    }
    const time = `${((answer.period * 1000 * degrees) / answer.degrees).toFixed(2)} ms`.replace(".", data.decimal);
    const words = `${Math.round(degrees)}°, ${time}`;
    for (const slider of all("[data-time]")) {
      slider.value = degrees;
      slider.setAttribute("aria-valuetext", words);
    }
    for (const place of all("[data-moment-time]")) place.textContent = words;
    for (const place of all("[data-caption]")) place.textContent = told(way);
    for (const list of all("[data-why-not]")) {
      list.replaceChildren(...way.whyNot.map((sentence) => {
        const item = document.createElement("li");
        item.textContent = sentence;
        return item;
      }));
    }
    for (const place of all("[data-now]")) {
      const value = waveAt(place.dataset.now);
      place.textContent = format(value, place.dataset.now.endsWith("current") ? "A" : "V", 3);
    }
    for (const plot of plots) plot.point(degrees);
  }

  function showReadings() {
    for (const place of all("[data-reading]")) {
      const reading = answer.readings[place.dataset.reading];
      if (!reading) continue;
      place.textContent = format(reading.value, reading.unit, data.digits, true);
      place.classList.toggle("unsure", Boolean(reading.unsure));
      place.title = reading.unsure ? "less sure: the circuit changes its way of working near here" : "";
    }
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
    showReadings();
    showLabels();
    const stretches = bands();
    for (const plot of plots) plot.show(answer, stretches);
    showMoment();
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

  function moveTo(angle) {
    degrees = ((angle % answer.degrees) + answer.degrees) % answer.degrees;
    showMoment();
  }
  for (const slider of all("[data-time]")) slider.addEventListener("input", () => {
    degrees = Number(slider.value);
    showMoment();
  });
  all("[data-plot]").forEach((host, k) => {
    host.addEventListener("drawn", () => plots[k].point(degrees));
    host.addEventListener("pointerdown", (event) => {
      if (!event.isPrimary || event.button !== 0) return;
      stop();
      const follow = (next) => {
        const angle = plots[k].degreesAt(next.clientX - host.getBoundingClientRect().left);
        degrees = Math.min(Math.max(angle, 0), answer.degrees);
        showMoment();
      };
      follow(event);
      host.addEventListener("pointermove", follow);
      for (const end of ["pointerup", "pointercancel", "pointerleave"]) {
        host.addEventListener(end, () => host.removeEventListener("pointermove", follow), { once: true });
      }
    });
  });

  // ---------------------------------------------------------------- play

  let playing = 0;
  let before = 0;
  const seconds = () => Number(all("[data-speed]")[0].value);
  function frame(now) {
    moveTo(degrees + ((now - before) / 1000 / seconds()) * 360);
    before = now;
    playing = requestAnimationFrame(frame);
  }
  // With reduced motion time goes from one stretch to the next, as a slide show does.
  function nextStretch() {
    const stretches = bands();
    const at = stretches.findIndex(({ from, to }) => degrees >= from && degrees < to);
    const { from, to } = stretches[(at + 1) % stretches.length];
    moveTo((from + to) / 2);
  }
  function play() {
    before = performance.now();
    playing = calm.matches
      ? -setInterval(nextStretch, Math.max(1500, (seconds() * 1000) / 4))
      : requestAnimationFrame(frame);
    for (const button of all("[data-play]")) button.textContent = "Pause";
  }
  function stop() {
    if (playing < 0) clearInterval(-playing);
    else cancelAnimationFrame(playing);
    playing = 0;
    for (const button of all("[data-play]")) button.textContent = "Play";
  }
  for (const button of all("[data-play]")) button.addEventListener("click", () => (playing ? stop() : play()));
  for (const choice of all("[data-speed]")) choice.addEventListener("change", () => {
    for (const twin of all("[data-speed]")) twin.value = choice.value;
    if (playing) {
      stop();
      play();
    }
  });

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
  window.addEventListener("beforeprint", stop);

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
