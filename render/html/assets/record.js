// The record of a job: everything entered, in the order it was, as a file and
// on paper. compiler/record/record.schema.json describes the file.

// recordOf makes the record. Ended is the finish that the work has reached, or
// null; describe gives for an entry's ID what it is.
function recordOf(job, model, members, ended, describe) {
  const { order, machine, serial, who, date } = job.fields;
  return {
    record: "benchproof job record",
    version: 2,
    saved: new Date().toISOString(),
    document: model.document,
    job: { workOrder: order, machine, serialNumber: serial, who, date, nameplateAgrees: Boolean(job.marks.nameplate) },
    members: Object.keys(members).sort().map((variant) => ({ variant, member: members[variant] })),
    outcome: ended ? { finish: ended.id, outcome: ended.dataset.outcome } : null,
    stopped: Object.keys(job.stops).length > 0,
    entries: job.log.map((e) => {
      const entry = { number: e.n, at: e.at, who: e.who, event: e.e, ...describe(e.id) };
      if (e.v !== undefined) entry.value = String(e.v);
      if (e.was !== undefined) entry.first = String(e.was);
      return entry;
    }),
  };
}

// saveFile hands a text to the reader as a file.
function saveFile(name, text) {
  const url = URL.createObjectURL(new Blob([text], { type: "application/json" }));
  const a = document.createElement("a");
  a.href = url;
  a.download = name;
  document.body.append(a);
  a.click();
  a.remove();
  setTimeout(() => URL.revokeObjectURL(url), 60000);
}

const fileName = (...parts) => parts.filter(Boolean).join("-").replace(/[^\p{L}\p{N}._-]+/gu, "-") + ".json";

// el makes an element. Its content is texts and elements, never markup.
function el(name, attributes, ...content) {
  const e = document.createElement(name);
  for (const [k, v] of Object.entries(attributes || {})) {
    if (k === "class") e.className = v;
    else if (k.startsWith("on")) e.addEventListener(k.slice(2), v);
    else e.setAttribute(k, v);
  }
  e.append(...content);
  return e;
}

// locale is the language of the page where the browser knows it.
const locale = (() => {
  try {
    return new Intl.Locale(document.documentElement.lang).toString();
  } catch {
    return undefined;
  }
})();

function clock(at) {
  return new Date(at).toLocaleTimeString(locale, { hour: "2-digit", minute: "2-digit" });
}

function dayAndClock(at) {
  return new Date(at).toLocaleString(locale, { dateStyle: "medium", timeStyle: "short" });
}

// entriesTable is the record's entries for paper.
function entriesTable(record, words) {
  const rows = record.entries.map((e) => {
    const value = ["tick", "torque", "hold", "count"].includes(e.kind) ? (e.value === "true" ? words.yes : words.no) : (e.value || "") + (e.unit && e.value ? "\u00a0" + e.unit : "");
    const how = e.first !== undefined ? "; " + fill(words.changed, { first: e.first }) : e.event === "taken back" ? "; " + words.takenBack : "";
    return el("tr", null, el("td", null, dayAndClock(e.at)), el("td", null, e.step ? String(e.step) + (e.turn ? " (" + e.turn + ")" : "") : ""), el("th", { scope: "row" }, e.label || e.id), el("td", null, value + how), el("td", null, e.who));
  });
  const heads = [words.when, words.step, words.what, words.entry, words.who].map((t) => el("th", { scope: "col" }, t));
  return el("table", null, el("caption", null, words.entries), el("thead", null, el("tr", null, ...heads)), el("tbody", null, ...rows));
}

// jobLine says on paper which job it is.
function jobLine(job, words) {
  const f = job.fields;
  const pairs = [[words.workOrder, f.order], [words.machine, f.machine], [words.serialNumber, f.serial], [words.who, f.who], [words.date, f.date]];
  return el("dl", { class: "block" }, ...pairs.map(([name, value]) => el("div", null, el("dt", null, name), el("dd", null, value || "–"))));
}

// orderOnPaper puts the work order into the head of each printed sheet, in place
// of the room for it, so that loose sheets can be told apart.
function orderOnPaper(order, words) {
  const sheet = new CSSStyleSheet();
  const safe = [...`${words.workOrder} ${order}`].map((c) => "\\" + c.codePointAt(0).toString(16) + " ").join("");
  if (order) sheet.replaceSync(`@page{@top-right{content:"${safe}"}}`);
  document.adoptedStyleSheets = [sheet];
}
