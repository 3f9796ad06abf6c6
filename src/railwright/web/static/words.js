// The words of the interface: all of them come from one file of texts.

// The first dot parts the group from the word; a word may have dots of its own, as a table's name has.
function at(path) {
  const [group, ...rest] = path.split(".");
  const words = window.railwrightTexts[group];
  const whole = words?.[rest.join(".")];
  return whole ?? rest.reduce((texts, step) => texts?.[step], words);
}

export function t(path, values = {}) {
  const found = at(path);
  if (typeof found !== "string") return path;
  return found.replace(/\{(\w+)\}/g, (_, name) => values[name] ?? "");
}

// Words for something that may have none of its own: a name as it stands.
export function known(path, otherwise) {
  const found = at(path);
  return typeof found === "string" ? found : otherwise;
}
