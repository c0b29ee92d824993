// The page leads the work: it takes what the hand enters, asks run where the
// work stands, and shows it. Reading ahead is always free; nothing is locked.

// --- jobs --------------------------------------------------------------------------------------

let offer = false; // an unnamed job was found at the start
let left = null; // the job that another one took the place of

function fillIn(c) {
  const m = job.marks[c.id], stop = job.stops[c.id];
  const value = stop ? stop.now : m ? m.v : "";
  if (c.kind === "tick") c.input.checked = Boolean(value);
  else if (c.kind === "answer" || c.kind === "member") for (const i of c.box.inputs) i.checked = i.value === value;
  else c.input.value = value;
}

function openJob(next) {
  job = next;
  for (const name in fieldInputs) fieldInputs[name].value = job.fields[name] || "";
  for (const c of controls.values()) fillIn(c);
  for (const box of readings) box.judge();
  tickClocks();
  show(true);
  showNotice();
}

// switchJob looks whether the fields name another job than the one open. What
// was entered before the name was whole goes along when it is filled in.
function switchJob() {
  const order = fieldInputs.order.value.trim(), machine = fieldInputs.machine.value.trim();
  if (order === job.fields.order && machine === job.fields.machine) return;
  const old = job;
  const found = jobs.load(order, machine);
  const more = (was, now) => was === "" || was === now;
  if (more(old.fields.order, order) && more(old.fields.machine, machine) && !found) {
    jobs.drop(old.fields.order, old.fields.machine);
    job.fields.order = order;
    job.fields.machine = machine;
    offer = false;
    if (hasEntries(job)) jobs.save(job);
    showNotice();
    return;
  }
  if (hasEntries(old)) jobs.save(old);
  left = isNamed(old) && hasEntries(old) && !found ? old : null;
  offer = false;
  const next = found || newJob(order, machine);
  if (!found) next.fields.who = old.fields.who;
  openJob(next);
}

function showNotice() {
  const notice = document.getElementById("notice");
  const tell = [];
  if (!kept) tell.push(el("div", { class: "tell" }, el("p", null, words.nothingKept)));
  if (offer) {
    const count = Object.keys(job.marks).length;
    tell.push(el("div", { class: "tell", id: "unnamed" }, el("p", null, fill(words.unnamedLeft, { count, time: dayAndClock(job.last) })), el("p", null, words.nameTheJob),
      el("div", { class: "answers" },
        el("button", { type: "button", id: "clear", onclick: clearUnnamed }, words.clearIt),
        el("button", { type: "button", onclick: () => { offer = false; showNotice(); fieldInputs.order.focus(); } }, words.keepIt))));
  }
  if (left) {
    const old = left;
    tell.push(el("div", { class: "tell" }, el("p", null, fill(words.newJobOpen, { job: nameOf(old, words) })),
      el("div", { class: "answers" }, el("button", { type: "button", onclick: () => bringAlong(old) }, words.sameJob))));
  }
  const { here, elsewhere } = jobs.list();
  const others = here.filter((j) => j.fields.order !== job.fields.order || j.fields.machine !== job.fields.machine);
  if (others.length && !isNamed(job)) {
    tell.push(el("div", { class: "tell" }, el("p", null, words.openJobs),
      el("div", { class: "answers" }, ...others.slice(0, 8).map((j) => el("button", { type: "button", onclick: () => takeUp(j) }, fill(words.goOnWithJob, { job: nameOf(j, words), time: dayAndClock(j.last) }))))));
  }
  for (const j of isNamed(job) ? [] : elsewhere.slice(0, 3)) tell.push(el("div", { class: "tell" }, el("p", null, fill(words.otherEdition, { job: nameOf(j, words) }))));
  notice.replaceChildren(...tell);
}

function clearUnnamed() {
  jobs.drop("", "");
  offer = false;
  openJob(newJob("", ""));
  fieldInputs.order.focus();
}

function takeUp(j) {
  if (hasEntries(job)) jobs.save(job);
  offer = false;
  left = null;
  seen = j.last;
  openJob(j);
  checkPause();
  keep();
  document.getElementById("go").focus();
}

function bringAlong(old) {
  const { order, machine } = job.fields;
  jobs.drop(old.fields.order, old.fields.machine);
  old.fields.order = order;
  old.fields.machine = machine;
  left = null;
  openJob(old);
  keep();
}

// --- what the hand does -----------------------------------------------------------------------------

function controlOf(target) {
  const group = target.type === "radio" ? target.closest("fieldset") : null;
  return controls.get(group ? group.id : target.id);
}

document.addEventListener("input", (e) => {
  const c = controlOf(e.target);
  if (!c || c.kind === "tick" || c.kind === "answer" || c.kind === "member") return;
  if (c.kind === "reading") {
    enter(c, e.target.value.trim());
    c.box.judge();
  }
  typing(c);
  show(false, c);
});

document.addEventListener("change", (e) => {
  const t = e.target;
  checkPause();
  if (t.id && t.id.startsWith("again-")) return verifiedAgain(t);
  if (t.id && t.id.startsWith("job-")) {
    const name = t.id.slice(4);
    if (name === "order" || name === "machine") switchJob();
    else job.fields[name] = t.value.trim();
    if (hasEntries(job)) keep();
    return;
  }
  const c = controlOf(t);
  if (!c) return;
  if (c.kind === "tick") {
    settleAll();
    pauseIsOver();
    if (t.checked) mark(c.id, true);
    else if (job.marks[c.id]) unmark(c.id);
    keep();
    show(true, c);
  } else if (c.kind === "answer" || c.kind === "member") {
    settleAll();
    pauseIsOver();
    const chosen = c.box.inputs.find((i) => i.checked);
    enter(c, chosen ? chosen.value : "");
    commit(c);
    show(true, c);
  } else {
    if (c.kind === "reading") {
      enter(c, t.value.trim());
      c.box.judge();
    }
    settle(c);
  }
});

document.addEventListener("submit", (e) => e.preventDefault());
for (const kind of ["pointerdown", "keydown"]) document.addEventListener(kind, checkPause, { passive: true });
document.addEventListener("visibilitychange", () => {
  if (document.visibilityState === "visible") {
    checkPause();
    tickClocks();
  } else leave();
});
window.addEventListener("pagehide", leave);
function leave() {
  settleAll();
  if (hasEntries(job)) {
    job.last = Math.max(job.last, seen);
    jobs.save(job);
  }
}

// --- the record ------------------------------------------------------------------------------------------

function describe(id) {
  const c = controls.get(id);
  if (!c) return { id, kind: id.startsWith("again-") ? "verified again" : "page", label: id.startsWith("again-") ? words.verifyAgain : "" };
  const d = { id, kind: c.kind, name: c.name, label: c.label };
  if (c.step) d.step = c.step.number;
  if (c.key) d.turn = c.key;
  if (c.unit) d.unit = c.unit;
  if (c.kind === "reading") describeReading(c, d);
  else if (c.kind === "tick") describeTick(c, d);
  return d;
}

// describeReading says with what a reading was taken and which limits make it
// good on the machine at hand.
function describeReading(c, d) {
  const { reading, root } = c.box;
  if (reading.of) d.of = reading.of;
  if (root.dataset.instrument) d.instrument = root.dataset.instrument;
  const here = (reading.limits || []).filter((l) => forMember(l, members()));
  if (here.length !== 1 || here[0].impossible) return;
  d.limits = {};
  for (const k of ["low", "high"]) if (here[0][k]) d.limits[k] = here[0][k];
  for (const k of ["lowOpen", "highOpen"]) if (here[0][k]) d.limits[k] = true;
}

// describeTick says what stands beside a tick that the record is read for: a
// torque, who accepts, how many of what.
function describeTick(c, d) {
  const hold = c.input.closest(".hold"), round = c.input.closest(".round"), row = c.step ? null : c.input.closest(".row");
  if (hold) {
    d.kind = "hold";
    d.role = hold.dataset.role;
  } else if (round) {
    d.kind = "torque";
    const own = [...round.querySelectorAll(".one")].filter((e) => forMember({ for: e.dataset.for.split(" ").filter(Boolean).map((x) => x.split("=")) }, members()));
    const values = [...round.querySelectorAll(".torque")].filter((e) => !e.closest(".one") || own.includes(e.closest(".one")));
    d.torque = values.map((e) => e.textContent).join(", ");
  } else if (row && row.querySelector(".work") && c.id !== "nameplate") {
    d.label = row.querySelector(".work").textContent.trim().replace(/\s+/g, " ") + ": " + c.label;
    const n = /^close-(\d+)$/.exec(c.id);
    if (n) {
      d.kind = "count";
      d.count = model.counts[n[1] - 1];
    }
  }
}

// reached is the finish that the work has come to: one among the steps, or the
// one understood where the work runs off its end.
const reached = () => (state.ended ? state.ended.el : state.live ? document.querySelector("#finishes tr[data-kind=finish]") : null);

const theRecord = () => recordOf(job, model, members(), reached(), describe);

const saveButton = document.getElementById("save"), printButton = document.getElementById("print");
saveButton.hidden = printButton.hidden = false;
saveButton.addEventListener("click", () => {
  settleAll();
  const r = theRecord();
  saveFile(fileName(model.document.number, model.document.revision, job.fields.order, job.fields.machine, r.saved.slice(0, 16)), JSON.stringify(r, null, 2) + "\n");
});
function readyForPaper() {
  settleAll();
  document.getElementById("job-line").replaceChildren(jobLine(job, words));
  document.getElementById("entries").replaceChildren(entriesTable(theRecord(), words));
}
printButton.addEventListener("click", () => {
  readyForPaper();
  document.documentElement.classList.add("record-only");
  window.print();
});
// Paper shows every branch: what is folded on the screen opens for it.
let opened = [];
window.addEventListener("beforeprint", () => {
  opened = [...main.querySelectorAll("details:not([open])")];
  for (const d of opened) d.open = true;
  orderOnPaper(job.fields.order, words);
});
window.addEventListener("afterprint", () => {
  for (const d of opened) d.open = false;
  document.documentElement.classList.remove("record-only");
});

// --- start ----------------------------------------------------------------------------------------------------

(function start() {
  const before = jobs.ofThisTab();
  const unnamed = jobs.load("", "");
  const first = before || (unnamed && hasEntries(unnamed) ? unnamed : newJob("", ""));
  offer = !isNamed(first) && hasEntries(first);
  if (hasEntries(first)) seen = first.last;
  for (const d of main.querySelectorAll("details.words")) d.open = false;
  openJob(first);
  checkPause();
  // Browsers put back what stood in the boxes; what was entered counts.
  window.addEventListener("pageshow", () => openJob(job));
})();
