// What the page shows of where the work stands.

function setAttribute(e, name, value) {
  if (value === null) {
    if (e.hasAttribute(name)) e.removeAttribute(name);
  } else if (e.getAttribute(name) !== value) e.setAttribute(name, value);
}
function setText(e, text) {
  if (e && e.textContent !== text) e.textContent = text;
}
function aloud(text) {
  document.getElementById("aloud").textContent = text;
}

// show runs through the work and paints what changed. Settled: the hand is not
// typing, so branches fold and words are said.
function show(settled, by) {
  state = run(tree, model, members());
  for (const node of tree.byId.values()) {
    if (node.kind === "step") showStep(node);
    else if (node.kind === "decision") showDecision(node, settled);
  }
  for (const node of tree.others) showOther(node, settled);
  for (const box of readings) showReading(box, settled, by);
  for (const box of choiceBoxes) showAnswer(box, settled, by);
  showColumns();
  showLead();
  showKept();
  if (settled) showPause();
}

tree.others = [];
(function collect(node) {
  if (node.kind === "until" || node.kind === "otherwise") tree.others.push(node);
  node.kids.forEach(collect);
})(tree.sheet);

function showStep(node) {
  const now = node.now || "ahead";
  if (node.shown !== now) {
    node.shown = now;
    node.el.dataset.view = now;
    setAttribute(node.el, "aria-current", now === "current" ? "step" : null);
  }
  if (!node.repeats.length) return;
  for (const [key, boxes] of node.turns) {
    const root = node.turnEls || (node.turnEls = new Map());
    if (!root.has(key)) root.set(key, [...node.el.querySelectorAll(".turn")].find((t) => t.dataset.turn === key));
    const used = node.seen.has(key) || boxes.some((b) => b.filled()) || (key === node.turns.keys().next().value && !node.seen.size);
    root.get(key).hidden = !used;
  }
}

const branchWord = (now) => (now === "chosen" ? words.chosen : now === "set-aside" ? words.setAside : "");

function showBranch(node, row, settled) {
  if (node.said !== node.now) {
    node.said = node.now;
    node.el.dataset.state = node.now;
    setText(node.el.querySelector(":scope > summary > .state"), branchWord(node.now));
    if (row) {
      row.classList.toggle("taken", node.now === "chosen");
      row.classList.toggle("aside", node.now === "set-aside");
      setText(row.querySelector(".state"), branchWord(node.now) && ", " + branchWord(node.now));
    }
  }
  // Work that is set aside folds; it opens again at a touch.
  if (settled && node.el.matches("details") && node.folded !== node.now) {
    node.folded = node.now;
    node.el.open = node.now !== "set-aside";
  }
}

function showDecision(node, settled) {
  for (const b of node.kids) showBranch(b, node.rows.get(b.number), settled);
}

function showOther(node, settled) {
  if (node.kind === "otherwise") showBranch(node, null, settled);
  else if (node.said !== node.now) {
    node.said = node.now;
    node.el.dataset.state = node.now || "open";
  }
}

function titlesOf(variants) {
  return variants.map((v) => (model.families.find((f) => f.variant === v) || { title: v }).title).join(", ");
}

// wordFor says what a reading means, once it is whole.
function wordFor(box) {
  const fault = box.cells.map((c) => c.fault).find(Boolean);
  if (fault) return fault;
  if (!box.filled()) return box.cells.length > 1 && box.left < box.cells.length ? fill(words.notAll, { left: box.left }) : "";
  const value = valueText(box);
  for (const node of state.feeds.get(box) || []) {
    const c = node.choice || {};
    if (c.need) return fill(words.chooseFirst, { what: titlesOf(c.need) });
    if (c.none) return fill(words.noRange, { value });
    if (c.number) {
      const b = model.decisions[node.el.id].branches.find((x) => x.number === c.number);
      return fill(words.judged, { value, meaning: b.meaning, goes: b.goes && "→ " + b.goes }).replace(/\s+/g, " ").trim();
    }
    // A repeat is judged turn by turn: this box may be of an earlier one.
    if (node.kind === "until") {
      const r = model.repeats[node.around.el.id];
      const j = metFor(r.limits, box.value(), box.reading, members(), model.families);
      if (j.need) return fill(words.chooseFirst, { what: titlesOf(j.need) });
      return j.met ? fill(words.met, { value, goes: r.goes }) : fill(words.notMet, { value });
    }
  }
  return "";
}

function valueText(box) {
  return shown(decimal(box.value(), placesOf(box.reading.step)), words) + "\u00a0" + box.reading.unit;
}

function showReading(box, settled, by) {
  const quiet = !settled || box.cells.some((c) => pending.has(c));
  if (box.output) setText(box.output, box.filled() ? shown(decimal(box.value(), placesOf(box.reading.step)), words) : "");
  const word = wordFor(box);
  const faulty = box.cells.some((c) => c.fault);
  // A word that blames waits until the hand has stopped typing.
  if (!faulty || !quiet) {
    if (settled && by && by.box === box && word && box.said !== word) aloud(word);
    box.said = word;
    setText(box.say, word);
    for (const c of box.cells) c.input.parentElement.classList.toggle("refused", Boolean(c.fault));
  }
  showStop(box);
}

// showAnswer says beside an answer that ends a turn where the work goes on.
function showAnswer(box, settled, by) {
  const lead = box.filled() && state.leads.get(box);
  let word = "";
  if (lead) {
    const r = model.repeats[lead.repeat.el.id];
    const goes = { met: r.goes, again: r.again, failed: r.fails }[lead.over];
    word = fill(words.judged, { value: box.titleOf(box.value()), meaning: "", goes: goes && "→ " + goes }).replace(/\s+/g, " ").trim();
  }
  if (settled && by && by.box === box && word && box.said !== word) aloud(word);
  box.said = word;
  setText(box.say, word);
  showStop(box);
}

// showStop sets the two values of a stop beside their box.
function showStop(box) {
  const stopped = box.cells.filter((c) => job.stops[c.id]);
  if (!stopped.length) {
    if (box.stopEl) box.stopEl.remove();
    box.stopEl = null;
    return;
  }
  const nameOfValue = (v) => (v === "" ? words.emptied : box.titleOf ? box.titleOf(v) : v + "\u00a0" + box.reading.unit);
  const text = stopped.map((c) => {
    const s = job.stops[c.id];
    return fill(words.keptBoth, { first: nameOfValue(s.first), time: clock(s.firstAt), now: nameOfValue(s.now) });
  }).join(" ");
  if (!box.stopEl) {
    box.stopEl = el("div", { class: "stop", role: "alert" }, el("p", null, fill(words.stopWorkDone, { what: box.cells.length > 1 ? box.reading.title : box.cells[0].label })), el("p", null, ""), el("div", { class: "answers" }, el("button", { type: "button", onclick: () => putBack(box) }, words.putFirstBack), el("button", { type: "button", onclick: () => goOn(box) }, words.goOnWithSecond)));
    box.root.append(box.stopEl);
  }
  setText(box.stopEl.children[1], text);
  // A second value that cannot be read cannot hold.
  box.stopEl.querySelectorAll("button")[1].hidden = stopped.some((c) => c.fault || job.stops[c.id].now === "");
}

// showColumns greys the limits of members that are not at hand.
function showColumns() {
  const chosen = members();
  const key = JSON.stringify(chosen);
  if (showColumns.last === key) return;
  showColumns.last = key;
  for (const cell of main.querySelectorAll("[data-for]")) {
    const limits = { for: cell.dataset.for.split(" ").filter(Boolean).map((x) => x.split("=")) };
    const open = variantsOf([[limits]]).some((v) => chosen[v] === undefined);
    cell.classList.toggle("off", !open && !forMember(limits, chosen));
  }
}

function stageOf(node) {
  for (let n = node; n; n = n.around) if (n.kind === "stage") return n.el.querySelector("h3").textContent;
  return "";
}

function showLead() {
  const lead = document.getElementById("lead"), where = document.getElementById("where"), go = document.getElementById("go");
  lead.hidden = false;
  let text = "", note = "", to = "#steps";
  const stopped = [...readings, ...choiceBoxes].find((b) => b.cells.some((c) => job.stops[c.id]));
  if (stopped) {
    text = words.heldUp;
    note = stopped.cells[0].label;
    to = "#" + stopped.root.id;
  } else if (state.ended) {
    const outcome = state.ended.el.querySelector(".outcome, th");
    text = fill(words.finished, { outcome: outcome ? outcome.textContent : "" });
    to = "#" + state.ended.el.id;
  } else if (state.stop && state.why === "members") {
    text = fill(words.choose, { what: titlesOf((state.stop.choice || {}).need || []) });
    to = "#job";
  } else if (state.stop) {
    const step = state.stop.kind === "step" ? state.stop : null;
    if (step) {
      text = fill(words.nowAtStep, { step: step.number, steps: model.steps });
      const times = step.repeats.length ? fill(words.turnOf, { turn: state.key, times: model.repeats[step.repeats[step.repeats.length - 1].el.id].times }) : "";
      note = [stageOf(step), times].filter(Boolean).join(" · ");
      to = "#" + step.el.id;
    } else {
      const d = state.stop.kind === "decision" ? state.stop : state.stop.around;
      text = (model.decisions[d.el.id] || {}).title || stageOf(d);
      to = "#" + d.el.id;
    }
  } else {
    const implied = document.querySelector("#finishes tr[data-kind=finish]");
    if (implied) {
      text = fill(words.finished, { outcome: implied.querySelector("th").textContent });
      to = "#" + implied.id;
    }
  }
  if (where.dataset.text !== text + "|" + note) {
    where.dataset.text = text + "|" + note;
    where.replaceChildren(text, ...(note ? [el("br"), el("small", null, note)] : []));
  }
  setAttribute(go, "href", to);
  setText(go, words.goThere);
}

// showKept fills in the record's table.
function showKept() {
  for (const cell of showKept.cells || (showKept.cells = [...main.querySelectorAll("td[data-kept]")])) {
    const step = tree.steps.get(Number(cell.dataset.step));
    let text = "";
    if (step) {
      const parts = [];
      for (const boxes of step.turns.values()) {
        const named = boxes.filter((b) => b.name === cell.dataset.name);
        if (cell.dataset.kept === "reading" || cell.dataset.kept === "answer" || cell.dataset.kept === "record") {
          for (const b of named) if (b.filled()) parts.push(keptValue(b));
        } else {
          const all = named.length ? named : boxes;
          if (all.length && all.every((b) => b.filled())) {
            const at = Math.max(...all.flatMap((b) => (b.cells || [b]).map((c) => (job.marks[c.id] ? Date.parse(job.marks[c.id].at) : 0))));
            parts.push(words.yes + (at ? ", " + clock(at) : ""));
          }
        }
      }
      text = parts.join("; ");
    }
    setText(cell.querySelector(".kept"), text);
  }
}

function keptValue(b) {
  if (b.kind === "choice") return b.titleOf(b.value());
  if (b.kind !== "reading") return String(b.value());
  const value = shown(decimal(b.value(), placesOf(b.reading.step)), words);
  const cells = b.cells.map((c) => (job.stops[c.id] ? job.stops[c.id].first + " / " + job.stops[c.id].now : c.input.value.trim()));
  return b.cells.length > 1 ? cells.join(", ") + ": " + value : job.stops[b.cells[0].id] ? cells[0] : value;
}

// --- after a long pause -------------------------------------------------------------------

function checkPause() {
  const now = Date.now();
  const since = Math.max(job.last || 0, seen);
  if (hasEntries(job) && !state.ended && !job.pause && now - since > LONG_PAUSE) startPause(now - since);
  seen = now;
}

function startPause(gap) {
  const list = [...state.conditions].map(([condition, text]) => ({ condition, text }));
  if (!list.length) return;
  job.pause = { gap, list, done: {} };
  log("pause", "long pause", String(Math.round(gap / 60000)) + " min");
  jobs.save(job);
  showPause();
  aloud(fill(words.stoodStill, { time: span(gap) }) + " " + words.verifyAgain);
}

function span(ms) {
  const h = Math.floor(ms / 3600000), min = Math.round((ms % 3600000) / 60000);
  return [h ? h + "\u00a0h" : "", min || !h ? min + "\u00a0min" : ""].filter(Boolean).join(" ");
}

function showPause() {
  const old = document.getElementById("again");
  if (!job.pause) {
    if (old) old.remove();
    return;
  }
  const at = state.stop ? state.stop.el : document.getElementById("steps").querySelector("h2").nextElementSibling;
  if (old && old.nextElementSibling === at && old.pause === job.pause) return;
  if (old) old.remove();
  const boxes = job.pause.list.map(({ condition, text }) => {
    const id = "again-" + condition;
    const proof = model.proved[condition];
    const input = el("input", { type: "checkbox", id, name: "again:" + condition });
    input.checked = Boolean(job.pause.done[condition]);
    return el("label", { class: "tick" }, input, el("span", null, text + (proof ? " – " + fill(words.verifiedWith, { tool: proof }) : "")));
  });
  const again = el("fieldset", { class: "tell", id: "again" }, el("legend", { class: "away" }, words.verifyAgain), el("p", null, fill(words.stoodStill, { time: span(job.pause.gap) })), el("p", null, words.verifyAgain), ...boxes);
  again.pause = job.pause;
  at.before(again);
}

function verifiedAgain(input) {
  const condition = input.id.slice("again-".length);
  if (input.checked) job.pause.done[condition] = true;
  else delete job.pause.done[condition];
  log(input.id, input.checked ? "entered" : "taken back", String(input.checked));
  keep();
}

// pauseIsOver: all was verified, and the work has gone on.
function pauseIsOver() {
  if (job.pause && job.pause.list.every((x) => job.pause.done[x.condition])) job.pause = null;
}

// --- waits ----------------------------------------------------------------------------------

const waits = [];
function addWait(root) {
  const w = { root, id: root.querySelector("input").id, button: root.querySelector("button"), clock: root.querySelector(".clock"), ms: Number(root.dataset.seconds) * 1000, over: false };
  w.button.textContent = fill(words.startWait, { time: root.dataset.text });
  w.button.addEventListener("click", () => {
    settleAll();
    job.clocks[w.id] = Date.now();
    log(w.id, "wait started");
    keep();
    tickClocks();
    root.querySelector("input").focus();
  });
  waits.push(w);
}
for (const root of main.querySelectorAll(".wait")) addWait(root);
for (const e of main.querySelectorAll(".more")) e.hidden = true;
let ticking = 0;
function tickClocks() {
  let running = false;
  for (const w of waits) {
    const from = job.clocks[w.id];
    w.button.hidden = from !== undefined;
    w.clock.hidden = from === undefined;
    if (from === undefined) {
      w.over = false;
      continue;
    }
    const left = Math.max(0, from + w.ms - Date.now());
    if (left > 0) {
      running = true;
      w.over = false;
      setText(w.clock, fill(words.timeLeft, { time: minutes(left) }));
    } else {
      const text = fill(words.waitOver, { time: w.root.dataset.text });
      setText(w.clock, text);
      if (!w.over && !document.getElementById(w.id).checked) aloud(text);
      w.over = true;
    }
  }
  clearTimeout(ticking);
  if (running) ticking = setTimeout(tickClocks, 500);
}
function minutes(ms) {
  const s = Math.ceil(ms / 1000);
  const two = (n) => String(n).padStart(2, "0");
  const h = Math.floor(s / 3600);
  return (h ? h + ":" + two(Math.floor((s % 3600) / 60)) : String(Math.floor(s / 60))) + ":" + two(s % 60);
}
