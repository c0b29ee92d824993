// What the hand enters becomes entries of the job. An entry is never lost: what
// is taken back or changed stays in the log, and a value that work was done on
// is kept beside the one that came after.

function log(id, event, value, was) {
  const e = { n: ++job.count, at: new Date().toISOString(), who: job.fields.who, id, e: event };
  if (value !== undefined) e.v = value;
  if (was !== undefined) e.was = was;
  job.log.push(e);
  return e;
}

function mark(id, value, was) {
  const e = log(id, was === undefined ? "entered" : "changed", value, was);
  job.marks[id] = { v: value, at: e.at, n: e.n };
}

function unmark(id) {
  const was = job.marks[id].v;
  delete job.marks[id];
  log(id, "taken back", undefined, was);
}

function keep() {
  job.last = seen = Date.now();
  const ok = jobs.save(job);
  if (!ok && kept) {
    kept = false;
    showNotice();
  }
}

// workDoneOn tells whether work was done on what a box says: something was
// entered later, behind a decision that goes by it.
function workDoneOn(box) {
  const consumers = box.step ? (state && state.feeds.get(box)) || [] : judgedBy(box.name);
  if (!consumers.length) return false;
  const first = Math.min(...consumers.map((c) => c.order));
  const since = Math.max(...box.cells.map((c) => (job.marks[c.id] ? job.marks[c.id].n : 0)));
  return Object.entries(job.marks).some(([id, m]) => {
    const c = controls.get(id);
    if (!c || !c.step || m.n <= since) return false;
    // A reading alone changes nothing on a machine that turns out another size.
    if (!box.step && c.kind !== "tick") return false;
    return c.step.order > first || laterTurn(c, box);
  });
}

// laterTurn tells whether an entry was made in a later turn of the repeat that
// a reading was taken in.
function laterTurn(c, box) {
  if (!box.step) return false;
  const around = box.step.repeats;
  if (!around.length || !c.step.repeats.includes(around[around.length - 1])) return false;
  const a = c.key.split(".").map(Number), b = box.key.split(".").map(Number);
  for (let i = 0; i < b.length; i++) if (a[i] !== b[i]) return a[i] > b[i];
  return false;
}

// enter takes a value of a reading or an answer. Where work was done on the
// one before, both are kept and the first one goes on holding.
function enter(c, value) {
  const m = job.marks[c.id];
  const stop = job.stops[c.id];
  if (stop && value === stop.first) delete job.stops[c.id];
  else if (stop) stop.now = value;
  else if (m && m.v !== value && workDoneOn(c.box)) job.stops[c.id] = { first: m.v, firstAt: m.at, now: value, said: null };
}

// commit makes of what stands in a box an entry.
function commit(c) {
  const stop = job.stops[c.id];
  if (stop) {
    if (stop.said === stop.now) return;
    stop.said = stop.now;
    log(c.id, "stop", stop.now, stop.first);
    keep();
    return;
  }
  const m = job.marks[c.id];
  const value = c.kind === "answer" || c.kind === "member" ? c.box.value() : c.input.value.trim();
  if ((m ? m.v : "") === value) return;
  if (value === "") unmark(c.id);
  else mark(c.id, value, m && c.kind !== "text" ? m.v : undefined);
  keep();
}

const pending = new Map(); // what is being typed
function typing(c) {
  clearTimeout(pending.get(c));
  pending.set(c, setTimeout(() => settle(c), TYPING));
}
function settle(c) {
  clearTimeout(pending.get(c));
  pending.delete(c);
  commit(c);
  show(true, c);
}
function settleAll() {
  for (const c of [...pending.keys()]) {
    clearTimeout(pending.get(c));
    pending.delete(c);
    commit(c);
  }
  switchJob();
}

// putBack and goOn end a stop: one of the two values holds.
function putBack(box) {
  for (const c of box.cells) {
    const stop = job.stops[c.id];
    if (!stop) continue;
    delete job.stops[c.id];
    log(c.id, "first holds", stop.first);
    fillIn(c);
  }
  endStop(box);
}
function goOn(box) {
  for (const c of box.cells) {
    const stop = job.stops[c.id];
    if (!stop) continue;
    delete job.stops[c.id];
    mark(c.id, stop.now, stop.first);
    fillIn(c);
  }
  endStop(box);
}
function endStop(box) {
  if (box.judge) box.judge();
  keep();
  show(true);
  (box.inputs || box.cells.map((c) => c.input))[0].focus();
}
