// Jobs: what was entered, for which work order and machine. A job belongs to
// one edition of the document; it is kept in the browser where that keeps
// anything, and nothing here fails where it does not.

const PREFIX = "benchproof ";

// openStore returns a place to keep texts in, or null.
function openStore(name) {
  try {
    const store = window[name];
    store.setItem(PREFIX + "probe", "1");
    store.removeItem(PREFIX + "probe");
    return store;
  } catch {
    return null;
  }
}

function newJob(order, machine) {
  return { version: 1, fields: { order, machine, serial: "", who: "", date: "" }, marks: {}, log: [], stops: {}, clocks: {}, count: 0, last: 0, pause: null };
}

const isNamed = (job) => Boolean(job.fields.order || job.fields.machine);
const hasEntries = (job) => Object.keys(job.marks).length > 0 || job.log.length > 0;

// Jobs keeps the jobs of one edition of one document.
class Jobs {
  constructor(doc) {
    this.store = openStore("localStorage");
    this.tab = openStore("sessionStorage");
    this.edition = [doc.name, doc.for.map((c) => c.join("=")).join(",")];
    this.fingerprint = doc.fingerprint;
  }
  key(order, machine) {
    return PREFIX + JSON.stringify([...this.edition, this.fingerprint, order, machine]);
  }
  load(order, machine) {
    if (!this.store) return null;
    return this.read(this.key(order, machine));
  }
  read(key) {
    try {
      const job = JSON.parse(this.store.getItem(key));
      const sound = job && job.version === 1 && job.fields && job.marks && Array.isArray(job.log) && job.stops && job.clocks;
      return sound ? job : null;
    } catch {
      return null;
    }
  }
  // save keeps a job; false where the browser refuses.
  save(job) {
    if (!this.store) return false;
    try {
      const key = this.key(job.fields.order, job.fields.machine);
      this.store.setItem(key, JSON.stringify(job));
      if (this.tab) this.tab.setItem(PREFIX + "job", key);
      return true;
    } catch {
      return false;
    }
  }
  drop(order, machine) {
    if (this.store) this.store.removeItem(this.key(order, machine));
  }
  // ofThisTab is the job that was open before the page was loaded again.
  ofThisTab() {
    const how = performance.getEntriesByType("navigation")[0];
    if (!this.tab || !this.store || !how || how.type === "navigate") return null;
    const key = this.tab.getItem(PREFIX + "job");
    return key && key.startsWith(PREFIX + JSON.stringify([...this.edition, this.fingerprint]).slice(0, -1)) ? this.read(key) : null;
  }
  // list gives the named jobs of this document: those of this edition and
  // those of others, latest first.
  list() {
    const here = [], elsewhere = [];
    for (let i = 0; this.store && i < this.store.length; i++) {
      const key = this.store.key(i);
      if (!key.startsWith(PREFIX + "[")) continue;
      let parts;
      try {
        parts = JSON.parse(key.slice(PREFIX.length));
      } catch {
        continue;
      }
      if (parts[0] !== this.edition[0] || parts[1] !== this.edition[1]) continue;
      const job = this.read(key);
      if (!job || !hasEntries(job) || !isNamed(job)) continue;
      (parts[2] === this.fingerprint ? here : elsewhere).push(job);
    }
    const latest = (a, b) => b.last - a.last;
    return { here: here.sort(latest), elsewhere: elsewhere.sort(latest) };
  }
}

// nameOf is a job as people call it.
function nameOf(job, words) {
  return [job.fields.order, job.fields.machine].filter(Boolean).join(" · ") || words.unnamedJob;
}
