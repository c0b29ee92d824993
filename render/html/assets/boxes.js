// What the page holds: the model, and every box a hand can fill, read off the
// page once.

const model = JSON.parse(document.getElementById("model").textContent);
const words = model.words;
const main = document.getElementById("sheet");
const tree = readSheet(main);
tree.steps = new Map();
for (const node of tree.byId.values()) if (node.kind === "step") tree.steps.set(node.number, node);

// After so long without anybody at the page, conditions are verified again.
const LONG_PAUSE = 2 * 60 * 60 * 1000;
// A hand that types is left alone for so long before a word is said.
const TYPING = 700;

const jobs = new Jobs(model.document);
let job = newJob("", "");
let state = null; // of the last run
let seen = Date.now(); // when somebody was last at the page
let kept = Boolean(jobs.store);

// --- boxes --------------------------------------------------------------------

const controls = new Map(); // ID of an entry to what it is
const readings = []; // boxes of readings
const choiceBoxes = []; // boxes of answers and members

const labelOf = (input) => {
  const label = input.closest("label");
  const span = label && label.querySelector("span:not(.away):not(.unit)");
  return span ? span.textContent : (label ? label.textContent.trim() : input.getAttribute("aria-label")) || input.name;
};

function addControl(id, kind, input, extra) {
  const c = { id, kind, input, name: input.name, label: labelOf(input), step: null, key: "", box: null, ...extra };
  controls.set(id, c);
  return c;
}

function tickBox(input, step, key) {
  const made = input.closest(".made");
  addControl(input.id, "tick", input, { step, key });
  return { id: input.id, name: input.name, step, key, filled: () => input.checked, value: () => input.checked, condition: made && made.dataset.condition, stateOf: made && made.dataset.stateOf };
}

function lineBox(input, step, key) {
  addControl(input.id, "text", input, { step, key });
  return { id: input.id, name: input.name, step, key, filled: () => input.value.trim() !== "", value: () => input.value.trim() };
}

function readingBox(root, step, key) {
  const reading = model.readings[root.dataset.reading];
  const box = { id: root.id, kind: "reading", name: root.dataset.reading, root, reading, step, key, cells: [], verdict: { empty: true } };
  for (const input of root.querySelectorAll("input")) {
    const title = reading.title + (root.querySelectorAll("input").length > 1 ? " " + (box.cells.length + 1) : "");
    const c = addControl(input.id, "reading", input, { step, key, box, label: title, unit: reading.unit });
    box.cells.push(c);
  }
  box.say = root.querySelector(".say");
  box.output = root.querySelector("output");
  box.filled = () => Boolean(box.verdict.value);
  box.value = () => box.verdict.value;
  box.judge = () => {
    const parts = box.cells.map((c) => judgeCell(job.stops[c.id] ? job.stops[c.id].first : c.input.value, reading, words));
    box.cells.forEach((c, i) => {
      // What is refused now may be the second of two values.
      c.fault = (job.stops[c.id] ? judgeCell(c.input.value, reading, words) : parts[i]).fault || "";
      setAttribute(c.input, "aria-invalid", c.fault ? "true" : null);
    });
    const values = parts.filter((p) => p.value).map((p) => p.value);
    box.left = parts.filter((p) => p.empty).length;
    box.verdict = parts.some((p) => p.fault) || values.length < parts.length ? { empty: values.length === 0 } : { value: combine(values, reading.of, reading) };
  };
  readings.push(box);
  return box;
}

function choiceBox(root, step, key) {
  const inputs = [...root.querySelectorAll("input")];
  const box = { id: root.id, kind: "choice", name: inputs[0].name, root, step, key, inputs };
  const c = addControl(root.id, step ? "answer" : "member", inputs[0], { step, key, box, label: root.querySelector("legend").textContent });
  box.cells = [c];
  box.say = root.querySelector(".say");
  box.titleOf = (value) => {
    const i = inputs.find((x) => x.value === value);
    return i ? labelOf(i) : value;
  };
  box.value = () => {
    const stop = job.stops[box.id];
    if (stop) return stop.first;
    const i = inputs.find((x) => x.checked);
    return i ? i.value : "";
  };
  box.filled = () => box.value() !== "";
  choiceBoxes.push(box);
  return box;
}

function boxesIn(root, step, key) {
  const boxes = [];
  const doneWith = new Set();
  for (const input of root.querySelectorAll("input, textarea")) {
    const group = input.closest(".reading, fieldset");
    if (group) {
      if (doneWith.has(group)) continue;
      doneWith.add(group);
      boxes.push(group.matches(".reading") ? readingBox(group, step, key) : choiceBox(group, step, key));
    } else if (input.type === "checkbox") boxes.push(tickBox(input, step, key));
    else if (input.closest(".hold")) lineBox(input, step, key); // the name beside a hold point is welcome, not asked for
    else boxes.push(lineBox(input, step, key));
  }
  return boxes;
}

for (const step of tree.steps.values()) {
  const hand = step.el.querySelector(":scope > .row > .hand");
  const turns = hand.querySelectorAll(":scope > .turn");
  if (!step.repeats.length) step.turns.set("", boxesIn(hand, step, ""));
  for (const t of turns) step.turns.set(t.dataset.turn, boxesIn(t, step, t.dataset.turn));
}
// Paper has boxes for so many turns; the page makes those of a further one.
tree.addTurn = (step, key) => {
  const last = [...step.el.querySelectorAll(":scope > .row > .hand > .turn")].pop();
  if (!last) return;
  const was = "-turn-" + last.dataset.turn, is = "-turn-" + key;
  const turn = last.cloneNode(true);
  turn.dataset.turn = key;
  turn.querySelector(".turn-no").textContent = fill(words.turn, { turn: key });
  for (const e of turn.querySelectorAll("[id], [name], [aria-describedby]")) {
    for (const a of ["id", "name", "aria-describedby"]) if (e.hasAttribute(a)) e.setAttribute(a, e.getAttribute(a).replace(was, is));
  }
  for (const e of turn.querySelectorAll(".stop")) e.remove();
  for (const e of turn.querySelectorAll(".say, output")) e.textContent = "";
  for (const e of turn.querySelectorAll(".refused, [aria-invalid]")) {
    e.classList.remove("refused");
    e.removeAttribute("aria-invalid");
  }
  last.after(turn);
  const boxes = boxesIn(turn, step, key);
  step.turns.set(key, boxes);
  for (const e of turn.querySelectorAll(".wait")) addWait(e);
  for (const c of controls.values()) if (c.step === step && c.key === key) fillIn(c);
  for (const box of boxes) if (box.judge) box.judge();
};

// What stands outside the steps.
for (const input of main.querySelectorAll("input, textarea")) {
  if (input.closest("[data-kind=step]") || input.id.startsWith("job-")) continue;
  const group = input.closest("fieldset");
  if (group) {
    if (!controls.has(group.id)) choiceBox(group, null, "");
  } else addControl(input.id, input.type === "checkbox" ? "tick" : "text", input);
}
const fieldInputs = {};
for (const name of ["order", "machine", "serial", "who", "date"]) fieldInputs[name] = document.getElementById("job-" + name);

// --- members --------------------------------------------------------------------

function members() {
  const chosen = {};
  for (const [variant, member] of model.document.for) chosen[variant] = member;
  for (const f of model.families) {
    if (f.members.length === 1) chosen[f.variant] = f.members[0].name;
    const c = controls.get("member-" + f.variant);
    if (c && c.box.filled()) chosen[f.variant] = c.box.value();
  }
  return chosen;
}

// judgedBy are the decisions and repeat ends that depend on a member.
function judgedBy(variant) {
  const names = (limits) => variantsOf(limits).includes(variant);
  const found = [];
  for (const node of tree.byId.values()) {
    if (node.kind === "decision") {
      const d = model.decisions[node.el.id];
      if (d.kind === "member" ? d.on === variant : d.kind === "reading" && names(d.branches.map((b) => b.limits))) found.push(node);
    } else if (node.kind === "repeat" && names([model.repeats[node.el.id].limits || []])) found.push(node.kids.find((k) => k.kind === "until") || node);
  }
  return found;
}
