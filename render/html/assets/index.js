// Search and filters over the index. With scripts off its tables say the same.

const form = document.getElementById("filters");
const count = document.getElementById("count");
const rows = [...document.querySelectorAll("#documents tbody tr")];
const plain = (text) => text.normalize("NFD").replace(/\p{M}/gu, "").toLowerCase();

// Which documents use a thing, and in which steps.
const words = rows.map((row) => plain(row.textContent + " " + row.dataset.families));
const uses = JSON.parse(document.getElementById("uses-model").textContent).map(([name, ...by]) => {
  const text = " " + plain(name);
  for (const [n] of by) words[n] += text;
  return new Map(by.map(([n, ...steps]) => [n, steps]));
});

const field = (id) => document.getElementById(id).value;

function filter() {
  const asked = plain(field("search")).split(/\s+/).filter(Boolean);
  const family = field("family");
  const things = [field("tool"), field("part")].filter(Boolean).map((t) => uses[t]);
  let shown = 0;
  rows.forEach((row, n) => {
    const fits = asked.every((w) => words[n].includes(w)) && (!family || row.dataset.families.split(" ").includes(family)) && things.every((by) => by.has(n));
    row.hidden = !fits;
    if (fits) shown++;
    // Where in it the thing is used.
    const where = row.querySelector(".where");
    if (fits && things.length) where.replaceChildren(...things.flatMap((by, i) => [i ? "; " : "", ...sentence(row, by.get(n))]));
    else if (where.firstChild) where.replaceChildren();
  });
  count.textContent = shown ? count.dataset.shown.replace("{count}", shown).replace("{all}", rows.length) : count.dataset.none;
}

// sentence puts links to steps where the words say {steps}.
function sentence(row, steps) {
  const [before, after] = count.dataset.used.split("{steps}");
  const title = row.querySelector("th a");
  const link = (n) => {
    if (!title) return String(n);
    const a = title.cloneNode(false);
    a.href = title.getAttribute("href") + "#step-" + n;
    a.textContent = n;
    return a;
  };
  return [before, ...steps.flatMap((n, i) => [i ? ", " : "", link(n)]), after || ""];
}

form.hidden = false;
form.addEventListener("input", filter);
form.addEventListener("submit", (e) => e.preventDefault());
form.addEventListener("reset", () => setTimeout(filter));
filter();
