// What the page works on: one sheet and how it is looked at. Kept in the browser at every change, with its history.

const PLACE = "railwright-work";
const DEPTH = 60; // versions to go back to

const FRESH = {
  sheet: "", course: { profile: "uk" }, model: "textbook", faults: [], point: "", mains: 1,
};
// What a version is made of: what undo brings back.
const VERSION = Object.keys(FRESH);

function stored() {
  try {
    const kept = JSON.parse(localStorage.getItem(PLACE) ?? "null");
    return kept && typeof kept.now?.sheet === "string" ? kept : null;
  } catch {
    return null;
  }
}

export function makeStore(onFull) {
  const kept = stored() ?? {};
  const store = {
    now: { ...FRESH, ...kept.now },
    past: kept.past ?? [],
    future: kept.future ?? [],
    // What was typed and isn't right yet: by field, and the whole text.
    drafts: kept.drafts ?? {},
    textDraft: kept.textDraft ?? null,
    pinned: kept.pinned ?? null,
    info: null, // what the server says of the sheet: form, boxes, sliders; never kept
  };
  const listeners = [];

  function keep() {
    const { now, past, future, drafts, textDraft, pinned } = store;
    try {
      localStorage.setItem(PLACE, JSON.stringify({ now, past, future, drafts, textDraft, pinned }));
    } catch {
      // Full: the history goes before the work does.
      try {
        localStorage.setItem(PLACE, JSON.stringify({ now, past: [], future: [], drafts, textDraft, pinned }));
      } catch {
        onFull();
      }
    }
  }

  const version = () => Object.fromEntries(VERSION.map((name) => [name, store.now[name]]));
  const tell = (what) => { for (const listen of listeners) listen(what); };

  let lastKind = "";
  let lastTime = 0;

  return Object.assign(store, {
    onChange: (listen) => listeners.push(listen),
    keep,
    // Make a new version. Changes of one kind that follow each other quickly are one step back.
    change(next, { kind = "", info = null } = {}) {
      const now = Date.now();
      const joined = kind && kind === lastKind && now - lastTime < 1200;
      [lastKind, lastTime] = [kind, now];
      if (!joined) store.past = [...store.past, version()].slice(-DEPTH);
      store.future = [];
      store.now = { ...store.now, ...next };
      if (info) store.info = info;
      else if ("sheet" in next) store.info = null;
      keep();
      tell(Object.keys(next));
    },
    // Everything anew: another circuit, an opened file.
    begin(next, info) {
      store.drafts = {};
      store.textDraft = null;
      store.change({ faults: [], point: "", mains: 1, ...next }, { info });
    },
    back() {
      const earlier = store.past.at(-1);
      if (!earlier) return;
      store.future = [version(), ...store.future].slice(0, DEPTH);
      store.past = store.past.slice(0, -1);
      store.restore(earlier);
    },
    forth() {
      const later = store.future[0];
      if (!later) return;
      store.past = [...store.past, version()].slice(-DEPTH);
      store.future = store.future.slice(1);
      store.restore(later);
    },
    restore(one) {
      store.now = { ...store.now, ...one };
      store.info = null;
      store.drafts = {};
      store.textDraft = null;
      lastKind = "";
      keep();
      tell(VERSION);
    },
    draft(field, text) {
      if (text === null) delete store.drafts[field];
      else store.drafts[field] = text;
      keep();
    },
    draftText(text) {
      store.textDraft = text;
      keep();
    },
    pin(what) {
      store.pinned = what;
      keep();
      tell(["pinned"]);
    },
    decimal: () => store.now.course.decimal ?? ".",
  });
}
