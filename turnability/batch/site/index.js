"use strict";
// Rows are made from text alone (textContent), a screenful at a time, so that 10,000 stay quick.
const rows = JSON.parse(document.getElementById("rows").textContent);
const body = document.querySelector("#parts tbody");
const wanted = { words: "", folder: "", owner: "", verdict: "", rule: "" };
let order = { key: "path", down: false };
let shown = [];
let made = 0;
const CHUNK = 200;

// A sign beside the word, so that a column is read at a glance; known by shape, not by colour.
const SIGNS = {
  "turnable": "\u2713", "needs-changes": "\u25b3", "not-turnable": "\u2715",
  "not-axisymmetric": "\u25a1", "undetermined": "?", "unusable": "!",
};
const NUMBERS = ["errors", "warnings", "new", "fixed", "minutes"];
const plain = (word) => word.replaceAll("-", " ");
// what no part has a word for asks for no column
const keys = ["owner", "verdict", ...NUMBERS].filter((key) => rows.some((row) => row[key] !== null && row[key] !== ""));
for (const head of document.querySelectorAll("th")) {
  const { key } = head.firstChild.dataset;
  head.hidden = key !== "path" && !keys.includes(key);
  head.classList.toggle("number", NUMBERS.includes(key));
}

function options(id, values) {
  const select = document.getElementById(id);
  for (const value of [...new Set(values)].filter(Boolean).sort()) {
    const option = document.createElement("option");
    option.value = value;
    option.textContent = id === "verdict" ? plain(value) : value;
    select.append(option);
  }
  select.parentElement.hidden = select.length < 2;
  select.addEventListener("change", () => { wanted[id] = select.value; refresh(); });
}
function folder(row) { return row.path.includes("/") ? row.path.replace(/\/[^/]*$/, "") : "."; }
function fits(row) {
  return (!wanted.words || row.path.toLowerCase().includes(wanted.words))
    && (!wanted.folder || folder(row) === wanted.folder || folder(row).startsWith(wanted.folder + "/"))
    && (!wanted.owner || row.owner === wanted.owner)
    && (!wanted.verdict || row.verdict === wanted.verdict)
    && (!wanted.rule || row.rules.includes(wanted.rule));
}
function cell(line, value) {
  const made = document.createElement("td");
  made.textContent = value === null ? "" : String(value);
  line.append(made);
  return made;
}
function more() {
  for (const row of shown.slice(made, made + CHUNK)) {
    const line = document.createElement("tr");
    const link = document.createElement("a");
    link.href = "parts/" + row.id + ".html";
    link.textContent = row.title;
    cell(line, "").append(link);
    for (const key of keys) {
      if (key === "verdict") {
        const made_ = cell(line, plain(row.verdict));
        const sign = document.createElement("span");
        sign.className = "sign";
        sign.setAttribute("aria-hidden", "true");
        sign.textContent = SIGNS[row.verdict] || "";
        made_.prepend(sign);
      } else cell(line, row[key]).classList.toggle("number", NUMBERS.includes(key));
    }
    line.dataset.verdict = row.verdict;
    body.append(line);
  }
  made += CHUNK;
  document.getElementById("more").hidden = made >= shown.length;
}
function refresh() {
  const sign = order.down ? -1 : 1;
  shown = rows.filter(fits).sort((a, b) => {
    const x = a[order.key], y = b[order.key];
    if (x === null || y === null) return (x === null) - (y === null);
    return sign * (typeof x === "number" ? x - y : x.localeCompare(y)) || a.path.localeCompare(b.path);
  });
  body.replaceChildren();
  made = 0;
  document.getElementById("count").textContent = shown.length + " of " + rows.length;
  more();
}
for (const head of document.querySelectorAll("th button")) {
  head.addEventListener("click", () => {
    order = { key: head.dataset.key, down: order.key === head.dataset.key && !order.down };
    for (const other of document.querySelectorAll("th")) other.removeAttribute("aria-sort");
    head.parentElement.setAttribute("aria-sort", order.down ? "descending" : "ascending");
    refresh();
  });
}
document.getElementById("words").addEventListener("input", (event) => {
  wanted.words = event.target.value.toLowerCase();
  refresh();
});
document.getElementById("more").addEventListener("click", more);
options("folder", rows.map(folder));
options("owner", rows.map((row) => row.owner));
options("verdict", rows.map((row) => row.verdict));
options("rule", rows.flatMap((row) => row.rules));
refresh();
