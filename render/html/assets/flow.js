// The work as a tree, and where it stands. The tree is read off the page; run
// goes through it and says for each piece what it is now. Nothing here writes
// to the page.

// readSheet makes the tree. A node is {kind, el, kids, order, repeats, around}:
// repeats are the nodes of the repeats around it, around the node it stands in.
function readSheet(root) {
  const sheet = { kind: "sheet", el: root, kids: [], order: -1, repeats: [], around: null };
  const nodes = new Map([[root, sheet]]);
  const byId = new Map();
  let order = 0;
  for (const el of root.querySelectorAll("[data-kind]")) {
    if (el.closest("#finishes")) continue;
    let up = el.parentElement;
    while (!nodes.has(up)) up = up.parentElement;
    const around = nodes.get(up);
    const node = { kind: el.dataset.kind, el, kids: [], order: order++, around, repeats: around.kind === "repeat" ? [...around.repeats, around] : around.repeats };
    if (node.kind === "step") {
      node.number = Number(el.id.slice(5));
      node.turns = new Map();
    }
    if (node.kind === "branch") node.number = Number(el.dataset.branch.slice(el.dataset.branch.lastIndexOf(":") + 1));
    if (node.kind === "decision") node.rows = new Map();
    around.kids.push(node);
    nodes.set(el, node);
    if (el.id) byId.set(el.id, node);
  }
  // The work after a repeat's last turn stands behind it but belongs to it.
  for (const node of nodes.values()) {
    if (node.kind === "otherwise") node.repeat = byId.get(node.el.dataset.repeat);
    if (node.kind === "decision") {
      node.kids.sort((a, b) => a.number - b.number);
      for (const row of node.el.querySelectorAll(":scope > .scroll > table > tbody > tr")) node.rows.set(Number(row.dataset.row), row);
    }
  }
  return { sheet, byId };
}

// keyOf names the turn of a step: the turns of the repeats around it.
function keyOf(node, turns) {
  return node.repeats.map((r) => turns.get(r) || 1).join(".");
}

// takingFor finds the boxes that decide: those of the last step, on the way
// the work has come, that takes the reading or asks the question. Null while
// that is not known.
function takingFor(node, name, numbers, state) {
  const found = [];
  for (const n of numbers) {
    const step = state.steps.get(n);
    if (!step) continue;
    let wrapped = false, gone = false;
    const key = step.repeats.map((r) => {
      let turn = state.turns.get(r) || 1;
      // Within the same repeat a taking further on is one of the turn before.
      if (step.order > node.order && inside(node, r)) {
        turn--;
        wrapped = true;
        if (turn < 1) gone = true;
      }
      return turn;
    }).join(".");
    const boxes = gone ? null : step.turns.get(key);
    const box = boxes && boxes.find((b) => b.name === name);
    if (box) found.push({ step, box, wrapped });
  }
  found.sort((a, b) => (a.wrapped !== b.wrapped ? (a.wrapped ? -1 : 1) : a.step.order - b.step.order));
  for (let i = found.length - 1; i >= 0; i--) {
    const { step, box, wrapped } = found[i];
    if (!wrapped && isAside(step)) continue;
    if (wrapped && !box.filled()) continue;
    return box;
  }
  return null;
}

const inside = (node, repeat) => node.repeats.includes(repeat);

// isAside tells whether a node stands in a branch that is set aside.
function isAside(node) {
  for (let n = node.around; n; n = n.around) if (n.now === "set-aside") return true;
  return false;
}

// run goes through the work. Model is the page's, members the members chosen.
// It sets on nodes what they are now (now, choice, status, seen) and returns
// {stop, why, key, ended, conditions, feeds, leads}: stop is where the work
// stands, ended the finish it has reached; leads tells of a box by which a turn was
// judged, where the work has come so far, which repeat that is of and whether it is met, done again or failed.
function run(tree, model, members) {
  const state = { turns: new Map(), steps: tree.steps, feeds: new Map(), leads: new Map(), conditions: new Map(), live: true, stop: null, why: "", key: "", ended: null };
  for (const b of model.begins) state.conditions.set(b.condition, b.state);
  const halt = (node, why, key) => {
    if (!state.live) return;
    state.live = false;
    state.stop = node;
    state.why = why;
    state.key = key || "";
  };
  const feed = (box, node) => {
    if (!state.feeds.has(box)) state.feeds.set(box, []);
    state.feeds.get(box).push(node);
  };

  const visit = (kids, aside) => {
    for (const node of kids) visitOne(node, aside);
  };
  const visitOne = (node, aside) => {
    switch (node.kind) {
      case "step": return visitStep(node, aside);
      case "decision": return visitDecision(node, aside);
      case "repeat": return visitRepeat(node, aside);
      case "otherwise": {
        const status = node.repeat ? node.repeat.status : "open";
        node.now = status === "failed" ? "chosen" : status === "met" ? "set-aside" : "open";
        const live = state.live;
        if (node.now !== "chosen") state.live = false;
        visit(node.kids, aside || node.now === "set-aside");
        if (node.now !== "chosen") state.live = live;
        return;
      }
      case "finish":
        if (state.live && !aside) {
          state.ended = node;
          state.live = false;
        }
        return;
      default: return visit(node.kids, aside);
    }
  };
  const visitStep = (node, aside) => {
    const key = keyOf(node, state.turns);
    if (node.repeats.length && !node.turns.has(key)) tree.addTurn(node, key);
    const boxes = node.turns.get(key) || [];
    node.seen.add(key);
    const done = boxes.every((b) => b.filled());
    // An earlier turn may be what the work stands at.
    if (state.stop !== node) node.now = aside ? "aside" : done && boxes.length ? "done" : "ahead";
    if (aside || !state.live) return;
    if (!done) {
      halt(node, "step", key);
      node.now = "current";
      return;
    }
    for (const b of boxes) if (b.condition) state.conditions.set(b.condition, b.stateOf);
  };
  const decide = (node, aside) => {
    const d = model.decisions[node.el.id];
    if (d.kind === "member") {
      const b = d.branches.find((x) => x.cases.includes(members[d.on]));
      return b ? { number: b.number } : { need: [d.on] };
    }
    const box = takingFor(node, d.on, d.takings, state);
    if (!box) return { wait: true };
    if (!aside) feed(box, node);
    if (!box.filled()) return { wait: true, box };
    if (d.kind === "answer") {
      const b = d.branches.find((x) => x.cases.includes(box.value()));
      return b ? { number: b.number, box } : { none: true, box };
    }
    return { box, ...branchFor(d.branches, box.value(), model.readings[d.on], members, model.families) };
  };
  const visitDecision = (node, aside) => {
    const choice = node.choice = decide(node, aside);
    for (const b of node.kids) b.now = !choice.number ? "open" : choice.number === b.number ? "chosen" : "set-aside";
    if (!choice.number && !aside) halt(node, choice.need ? "members" : "decide");
    for (const b of node.kids) visit(b.kids, aside || b.now === "set-aside");
  };
  const judge = (node, aside) => {
    const r = model.repeats[node.around.el.id];
    const box = takingFor(node, r.on, r.takings || [], state);
    if (!box) return { wait: true };
    if (!aside) feed(box, node);
    if (!box.filled()) return { wait: true, box };
    if (r.cases) return { box, met: r.cases.includes(box.value()) };
    return { box, ...metFor(r.limits, box.value(), model.readings[r.on], members, model.families) };
  };
  const visitRepeat = (node, aside) => {
    const times = model.repeats[node.el.id].times;
    node.status = "open";
    for (let turn = 1; turn <= times; turn++) {
      state.turns.set(node, turn);
      node.turn = turn;
      let over = "met"; // a body that nothing ends is done once
      for (const kid of node.kids) {
        if (kid.kind !== "until") {
          visitOne(kid, aside);
          continue;
        }
        const j = kid.choice = judge(kid, aside);
        if (j.met !== undefined) {
          kid.now = j.met ? "met" : "not-met";
          over = j.met ? "met" : turn < times ? "again" : "failed";
          if (!aside && state.live) state.leads.set(j.box, { repeat: node, over });
          if (over !== "again") break;
          continue;
        }
        kid.now = "open";
        over = "open";
        if (!aside) halt(kid, j.need ? "members" : "decide");
      }
      node.status = over;
      if (over !== "again") break;
    }
    // What stands behind the until is skipped once the repeat is over.
    if (node.status !== "open") {
      const until = node.kids.find((k) => k.kind === "until");
      if (until) for (const kid of node.kids) if (kid.order > until.order) skip(kid, node.turn, aside);
    }
  };
  const skip = (node, turn, aside) => {
    if (node.kind === "step" && (aside || turn === 1)) node.now = "aside";
    for (const kid of node.kids) skip(kid, turn, aside);
  };
  for (const step of tree.steps.values()) step.seen = new Set();
  visit(tree.sheet.kids, false);
  return state;
}
