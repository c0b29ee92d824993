"use strict";
// The page around the documents. It asks for the state of the library when it is
// told that there is a new one, and renews what has changed. Text of the library
// is set as text, never as markup.
(() => {
  const byId = (id) => document.getElementById(id);
  const choice = byId("document"), verdict = byId("verdict"), messages = byId("messages"), besideBox = byId("show-draft");

  // --- one view of a document ---------------------------------------------------------

  // A View shows a document in a frame. A new edition comes in a frame behind it
  // and takes its place when it is there, at the step that was looked at.
  class View {
    constructor(section, path) {
      this.path = path; // "/good/" or "/draft/"
      this.pages = document.createElement("div");
      this.pages.className = "pages";
      section.append(this.pages);
      this.section = section;
      this.frame = null;
      this.coming = null;
      this.name = "";
      this.tag = "";
      this.turn = 0;
    }

    // show brings a document up to date; known are the documents there are, and
    // place is where to begin in one that is not on view yet.
    async show(name, known, begin = null) {
      const turn = ++this.turn;
      if (!known.some((d) => d.name === name)) return this.empty(known.length ? "This document is not in the library." : "There is no document to show.");
      const address = this.path + encodeURIComponent(name) + ".html";
      const headers = this.frame && this.name === name ? { "If-None-Match": this.tag } : {};
      const answer = await fetch(address, { headers, cache: "no-store" });
      if (turn !== this.turn) return;
      if (answer.status === 304) return;
      if (!answer.ok) return this.empty(await answer.text());
      const place = this.frame && this.name === name ? placeOf(this.frame) : begin;
      this.tag = answer.headers.get("ETag") || "";
      this.name = name;
      this.bring(address, place);
    }

    bring(address, place) {
      if (this.coming) this.coming.remove();
      const next = document.createElement("iframe");
      next.title = this.section.getAttribute("aria-label");
      next.className = "coming";
      next.addEventListener("load", () => this.loaded(next, place));
      this.coming = next;
      next.src = address; // before it stands in the page, which would load an empty one first
      this.pages.append(next);
    }

    loaded(next, place) {
      if (next === this.frame) return this.moved(); // a link was followed in it
      if (next !== this.coming) return;
      goTo(next, place);
      next.className = "";
      for (const old of [...this.pages.children]) if (old !== next) old.remove();
      this.frame = next;
      this.coming = null;
      guideLinks(next);
    }

    // moved follows a link that led to another document.
    moved() {
      const name = nameOf(this.frame, this.path);
      if (!name) return;
      this.name = name;
      this.tag = "";
      guideLinks(this.frame);
      if (choice.value !== name) {
        choice.value = name;
        renew();
      }
    }

    empty(text) {
      this.turn++;
      this.frame = this.coming = null;
      this.name = this.tag = "";
      const p = document.createElement("p");
      p.className = "nothing";
      p.textContent = text;
      this.pages.replaceChildren(p);
    }
  }

  function nameOf(frame, path) {
    try {
      const at = frame.contentWindow.location.pathname;
      return at.startsWith(path) && at.endsWith(".html") ? decodeURIComponent(at.slice(path.length, -5)) : "";
    } catch {
      return ""; // another site, which is none of our business
    }
  }

  // guideLinks lets links that lead away open beside the preview.
  function guideLinks(frame) {
    frame.contentDocument.addEventListener("click", (e) => {
      const a = e.target.closest && e.target.closest("a[href]");
      if (!a || a.origin === location.origin) return;
      e.preventDefault();
      window.open(a.href, "_blank", "noopener,noreferrer");
    });
  }

  // --- the step that is looked at -------------------------------------------------------

  const landmarks = (doc) => [...doc.querySelectorAll("[id^='step-'], [id^='decision-'], [id^='finish-'], h1, h2, h3")]
    .filter((e) => /^(step|decision|finish)-[0-9]+$/.test(e.id) || /^H/i.test(e.localName)).filter((e) => e.textContent.trim());

  // A landmark is known again by its text without its numbers, which change when a
  // step is put in before it.
  // Of a step its instruction counts, not its boxes, which a draft does not have.
  const wording = (e) => (e.querySelector(".do") || e).textContent.replace(/\d+/g, "#").replace(/\s+/g, " ").trim().slice(0, 300);

  function placeOf(frame) {
    const doc = frame.contentDocument, view = frame.contentWindow;
    if (!doc || view.scrollY < 1) return null;
    let found = null;
    for (const e of landmarks(doc)) {
      const top = e.getBoundingClientRect().top;
      if (top > view.innerHeight / 3 && found) break;
      found = { id: e.id, tag: e.localName, text: wording(e), top };
    }
    if (found) found.scroll = view.scrollY;
    return found;
  }

  function goTo(frame, place) {
    const doc = frame.contentDocument, view = frame.contentWindow;
    if (!place || !doc) return;
    const same = landmarks(doc).filter((e) => e.localName === place.tag && wording(e) === place.text);
    // Several read alike: the one that has kept its number, else the one nearest to
    // where it was. None does: its text was changed, and its number tells.
    const away = (e) => Math.abs(e.getBoundingClientRect().top - place.top - place.scroll);
    const target = same.find((e) => place.id && e.id === place.id) || same.sort((a, b) => away(a) - away(b))[0] || (place.id && doc.getElementById(place.id));
    if (target) view.scrollBy({ top: target.getBoundingClientRect().top - place.top, behavior: "instant" });
    else view.scrollTo({ top: place.scroll, behavior: "instant" });
  }

  // --- the state of the library -----------------------------------------------------------

  const good = new View(byId("good"), "/good/");
  const draft = new View(byId("draft"), "/draft/");
  let state = null;
  let put = true; // the messages are put on view

  function renew() {
    if (!state) return;
    const shown = state.good ? state.documents : state.drafts || [];
    const all = [...shown, ...(state.drafts || []).filter((d) => !shown.some((s) => s.name === d.name))];
    const now = choice.value;
    choice.replaceChildren(...all.map((d) => new Option(d.title || d.name, d.name)));
    choice.value = all.some((d) => d.name === now) ? now : all.length ? all[0].name : "";

    byId("library").textContent = state.library || "Preview";
    document.title = (state.errors || state.fault ? "✗ " : "") + (state.library || "Preview");
    byId("beside").hidden = !(state.good && state.draft);
    const drafts = state.draft && (!state.good || besideBox.checked);
    const place = good.frame ? placeOf(good.frame) : null; // the frame may become narrower
    byId("draft").hidden = !drafts;
    byId("good").hidden = !state.good && drafts;
    if (good.frame) goTo(good.frame, place);
    if (state.good || !drafts) good.show(choice.value, state.documents || []);
    if (drafts) draft.show(choice.value, state.drafts || [], place);
    else draft.empty("");

    verdict.className = state.errors || state.fault ? "wrong" : "";
    verdict.textContent = state.fault ? "cannot be read" : count(state.errors, "error") + ", " + count(state.warnings, "warning") +
      (state.good && state.draft ? "; shown is the last state without an error" : "");
    say();
  }

  const count = (n, word) => n + " " + word + (n === 1 ? "" : "s");

  function say() {
    const rows = state.messages.map((m) => {
      const article = document.createElement("article"), pre = document.createElement("pre"), more = document.createElement("a");
      article.className = m.severity;
      pre.textContent = m.text;
      more.textContent = "what " + m.code + " means";
      more.href = "/explain/" + encodeURIComponent(m.code);
      more.target = "_blank";
      more.rel = "noopener";
      article.append(pre, more);
      return article;
    });
    const left = state.errors + state.warnings - state.messages.length;
    if (state.fault) rows.unshift(line(state.fault));
    if (left > 0) rows.push(line("and " + count(left, "message") + " more"));
    messages.hidden = rows.length === 0;
    const row = document.createElement("div"), title = document.createElement("h2"), button = document.createElement("button");
    row.className = "row";
    title.textContent = state.fault ? "The library cannot be read" : count(state.errors, "error") + ", " + count(state.warnings, "warning");
    button.type = "button";
    button.textContent = put ? "Put aside" : "Show";
    button.addEventListener("click", () => { put = !put; say(); });
    row.append(title, button);
    messages.replaceChildren(row, ...(put ? rows : []));
  }

  function line(text) {
    const p = document.createElement("p");
    p.textContent = text;
    return p;
  }

  let asked = 0;
  async function ask() {
    const n = ++asked;
    const answer = await fetch("/state", { cache: "no-store" });
    if (!answer.ok) return;
    const next = await answer.json();
    if (n !== asked) return;
    if (state && next.errors > state.errors) put = true; // something new to read
    state = next;
    renew();
  }

  choice.addEventListener("change", renew);
  besideBox.addEventListener("change", renew);

  const news = new EventSource("/news");
  let heard = "";
  news.addEventListener("message", (e) => {
    if (e.data === heard) return;
    heard = e.data;
    ask().catch(() => { heard = ""; });
  });
  news.addEventListener("error", () => {
    heard = "";
    verdict.className = "wrong";
    verdict.textContent = "the preview has stopped; what is shown is its last state";
  });
})();
