// The player: one period of a circuit, with ribbon, cursor, caption and live values on one movable time.
//
// It shows whatever answer it is given (see compute.js) inside `root`, and doesn't know who computed it. `data` holds
// what belongs to the circuit: ways {"<name>": {caption, on, whyNot}}, plots {"<name>": {title, rows}}, startDegrees,
// digits, decimal. A page that changes its circuit gives new `data` by `take`.
"use strict";

function makePlayer(root, data, words = { play: "Play", pause: "Pause" }) {
  const all = (selector) => [...root.querySelectorAll(selector)];
  const calm = window.matchMedia("(prefers-reduced-motion: reduce)");
  let format = makeFormat(data.decimal);
  let degrees = data.startDegrees;
  let answer = null;
  let pinned = null;
  let plots = [];
  const told = []; // who wants to know of a new moment

  function makePlots() {
    plots = all("[data-plot]").map((host) => makePlot(host, data.plots[host.dataset.plot], format));
  }
  makePlots();

  const samples = () => Object.values(answer.waves)[0].length;

  function wayAt(angle) {
    const count = samples();
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
    const count = samples();
    const found = [];
    answer.moments.forEach(([first, way], k) => {
      const end = k + 1 < answer.moments.length ? answer.moments[k + 1][0] : count - 1;
      const [from, to] = [first, end].map((n) => (n / (count - 1)) * answer.degrees);
      const on = data.ways[way]?.on ?? [];
      const before = found[found.length - 1];
      if (before && before.on.join() === on.join()) before.to = to;
      else if (to > from) found.push({ from, to, on });
    });
    return found;
  }

  function inWords(way) {
    return (way?.caption ?? "").replace(/\{([iv]):([^}]+)\}/g, (_, kind, name) => {
      const unit = kind === "i" ? "A" : "V";
      const value = waveAt(`${name}.${kind === "i" ? "current" : "voltage"}`);
      return format(value === null ? null : Math.abs(value), unit, 3);
    });
  }

  function showMoment() {
    if (!answer) return;
    const index = wayAt(degrees);
    const way = data.ways[index];
    for (const part of all("[data-moment]")) part.classList.toggle("now", part.dataset.moment === String(index));
    for (const label of all(".moment.now .blocking-voltage[data-ref]")) {
      const value = waveAt(`${label.dataset.ref}.voltage`);
      const last = [...label.querySelectorAll("text")].pop();
      if (value !== null && last) {
        last.textContent = last.textContent.replace(/[\d.,]+ [mkµ]?V/, format(Math.abs(value), "V", 3));
      }
    }
    const time = `${((answer.period * 1000 * degrees) / answer.degrees).toFixed(2)} ms`.replace(".", data.decimal);
    const moment = `${Math.round(degrees)}°, ${time}`;
    for (const slider of all("[data-time]")) {
      slider.max = answer.degrees;
      slider.value = degrees;
      slider.setAttribute("aria-valuetext", moment);
    }
    for (const place of all("[data-moment-time]")) place.textContent = moment;
    for (const place of all("[data-caption]")) place.textContent = inWords(way);
    for (const list of all("[data-why-not]")) {
      list.replaceChildren(...(way?.whyNot ?? []).map((sentence) => {
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
    for (const tell of told) tell(degrees);
  }

  function showReadings() {
    for (const place of all("[data-reading]")) {
      const reading = answer.readings[place.dataset.reading];
      if (!reading) continue;
      place.textContent = format(reading.value, reading.unit, data.digits, true);
      place.classList.toggle("unsure", Boolean(reading.unsure));
      place.title = reading.unsure ? "less sure: the circuit changes its way of working near here" : "";
    }
  }

  function show(next) {
    answer = next;
    if (degrees > answer.degrees) degrees %= answer.degrees;
    showReadings();
    const stretches = bands();
    for (const plot of plots) plot.show(answer, stretches, pinned);
    showMoment();
  }

  function moveTo(angle) {
    if (!answer) return;
    degrees = ((angle % answer.degrees) + answer.degrees) % answer.degrees;
    showMoment();
  }

  // ---------------------------------------------------------------- by hand: slider of time, finger on a plot

  root.addEventListener("input", (event) => {
    if (!event.target.matches("[data-time]")) return;
    degrees = Number(event.target.value);
    showMoment();
  });
  root.addEventListener("pointerdown", (event) => {
    const host = event.target.closest("[data-plot]");
    if (!host || !event.isPrimary || event.button !== 0) return;
    stop();
    const plot = plots[all("[data-plot]").indexOf(host)];
    const follow = (next) => {
      const angle = plot.degreesAt(next.clientX - host.getBoundingClientRect().left);
      degrees = Math.min(Math.max(angle, 0), answer.degrees);
      showMoment();
    };
    follow(event);
    host.addEventListener("pointermove", follow);
    for (const end of ["pointerup", "pointercancel", "pointerleave"]) {
      host.addEventListener(end, () => host.removeEventListener("pointermove", follow), { once: true });
    }
  });
  // A plot that found a new width has lost its cursor.
  root.addEventListener("drawn", () => { for (const plot of plots) plot.point(degrees); }, true);

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
    for (const button of all("[data-play]")) button.textContent = words.pause;
  }
  function stop() {
    if (playing < 0) clearInterval(-playing);
    else cancelAnimationFrame(playing);
    playing = 0;
    for (const button of all("[data-play]")) button.textContent = words.play;
  }
  root.addEventListener("click", (event) => {
    if (event.target.closest("[data-play]")) (playing ? stop : play)();
  });
  root.addEventListener("change", (event) => {
    if (!event.target.matches("[data-speed]")) return;
    for (const twin of all("[data-speed]")) twin.value = event.target.value;
    if (playing) {
      stop();
      play();
    }
  });
  window.addEventListener("beforeprint", stop);

  return {
    show,
    moveTo,
    stop,
    redraw: () => answer && show(answer),
    at: () => degrees,
    onMoment: (tell) => told.push(tell),
    // Another circuit: its ways, plots, digits. Time stays where it was; plots of the same curves stay too.
    take(next) {
      const before = JSON.stringify([data.plots, data.decimal]);
      data = next;
      if (JSON.stringify([data.plots, data.decimal]) === before) return;
      format = makeFormat(data.decimal);
      for (const plot of plots) plot.leave();
      makePlots();
    },
    // An earlier answer to lay under the present one; null takes it away.
    pin(earlier) {
      pinned = earlier;
      if (answer) show(answer);
    },
  };
}
