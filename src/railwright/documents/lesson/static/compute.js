// Makers of compute(params) -> Promise: the page asks, and doesn't know who answers.
//
// params: {"<sheet key>": value in SI}. The answer:
//   readings  {"<id>": {value, unit, interpolated}}
//   computedAt {"<sheet key>": value}   the neighbour that waveforms and moments are of
//   isComputed  whether that neighbour is exactly what was asked for
//   degrees   of the common period; waves {"<name>": Float64Array}; moments [[first sample, way], ...]
//
// This maker looks up what was computed in advance. Another may ask a server, as long as it answers the same.
"use strict";

// Waveforms that came as 16-bit numbers between the ends of each.
function unpackWaves(names, packed) {
  const bytes = Uint8Array.from(atob(packed.words), (letter) => letter.charCodeAt(0));
  const view = new DataView(bytes.buffer);
  const waves = {};
  names.forEach((wave, k) => {
    const values = new Float64Array(packed.count);
    for (let n = 0; n < packed.count; n += 1) {
      const word = view.getInt16(2 * (k * packed.count + n), true);
      values[n] = packed.low[k] + ((word + 32767) / 65534) * packed.span[k];
    }
    waves[wave] = values;
  });
  return waves;
}

function makeLookUp(data) {
  const reach = 4; // neighbours along an axis that a value is drawn from
  const unpacked = new Map();

  const axisOf = (part) => data.axes.find((axis) => axis.part === part);
  const [rows, columns] = data.shape;

  // Where a value lies on an axis, in positions; both scales are logarithmic and even.
  function position(axis, params) {
    if (!axis) return 0;
    const { values } = axis;
    const asked = params[axis.key] ?? values[axis.middle];
    const first = values[0];
    const last = values[values.length - 1];
    const at = (Math.log(asked / first) / Math.log(last / first)) * (values.length - 1);
    const held = Math.min(Math.max(at, 0), values.length - 1);
    const whole = Math.round(held);
    return Math.abs(held - whole) < 1e-6 ? whole : held;
  }

  function weights(count, at) {
    const size = Math.min(reach, count);
    const start = Math.min(Math.max(Math.floor(at) - 1, 0), count - size);
    const found = [];
    for (let one = start; one < start + size; one += 1) {
      let weight = 1;
      for (let other = start; other < start + size; other += 1) {
        if (other !== one) weight *= (at - other) / (one - other);
      }
      found.push([one, weight]);
    }
    return found;
  }

  function reading(table, row, column) {
    const nearest = table.values[Math.round(row) * columns + Math.round(column)];
    if (Number.isInteger(row) && Number.isInteger(column)) {
      return { value: nearest, unit: table.unit, interpolated: false };
    }
    const wide = Math.max(columns - 1, 1);
    const cell = Math.min(Math.floor(row), Math.max(rows - 2, 0)) * wide + Math.min(Math.floor(column), wide - 1);
    const isSure = table.trusted[cell] === "1";
    let total = 0;
    for (const [i, across] of weights(rows, row)) {
      for (const [j, along] of weights(columns, column)) {
        const value = table.values[i * columns + j];
        // A neighbour without an answer: nothing to draw a curve through.
        if (value === null) return { value: nearest, unit: table.unit, interpolated: false, unsure: true };
        total += across * along * (table.log ? Math.log(value) : value);
      }
    }
    const drawn = table.log ? Math.exp(total) : total;
    if (isSure) return { value: drawn, unit: table.unit, interpolated: true };
    // Near a corner of a curve a cubic overshoots: the value is held between those at the corners of its cell.
    const [i, j] = [Math.min(Math.floor(row), Math.max(rows - 2, 0)), Math.min(Math.floor(column), Math.max(columns - 2, 0))];
    const corners = [];
    for (let r = i; r < Math.min(i + 2, rows); r += 1) {
      for (let c = j; c < Math.min(j + 2, columns); c += 1) corners.push(table.values[r * columns + c]);
    }
    const value = Math.min(Math.max(drawn, Math.min(...corners)), Math.max(...corners));
    return { value, unit: table.unit, interpolated: true, unsure: true };
  }

  function unpack(name, packed) {
    if (!unpacked.has(name)) unpacked.set(name, unpackWaves(data.waves, packed));
    return unpacked.get(name);
  }

  // The nearest neighbour that has an answer.
  function neighbour(row, column) {
    let best = data.middle;
    let least = Infinity;
    for (let index = 0; index < rows * columns; index += 1) {
      if (data.coarse[index]) {
        const far = (Math.floor(index / columns) - row) ** 2 + ((index % columns) - column) ** 2;
        if (far < least) [best, least] = [index, far];
      }
    }
    return best;
  }

  return function compute(params) {
    const row = position(axisOf("capacitor"), params);
    const column = position(axisOf("load"), params);
    const index = neighbour(row, column);
    const isOwn = index === data.middle;
    const readings = {};
    for (const [id, table] of Object.entries(data.readings)) readings[id] = reading(table, row, column);
    const computedAt = {};
    for (const axis of data.axes) {
      computedAt[axis.key] = axis.values[axis.part === "capacitor" ? Math.floor(index / columns) : index % columns];
    }
    return Promise.resolve({
      readings,
      computedAt,
      isComputed: index === row * columns + column,
      degrees: 360 * data.mainsPeriods,
      period: data.period,
      waves: isOwn ? unpack("own", data.fine) : unpack(index, data.coarse[index]),
      moments: isOwn ? data.moments.fine : data.moments.coarse[index],
    });
  };
}
