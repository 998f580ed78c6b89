"use strict";
// Rows are made from text alone (textContent), a screenful at a time, so that 10,000 stay quick.
const rows = JSON.parse(document.getElementById("rows").textContent);
const body = document.querySelector("#parts tbody");
const wanted = { words: "", folder: "", owner: "", verdict: "", rule: "" };
let order = { key: "path", down: false };
let shown = [];
let made = 0;
const CHUNK = 200;

function options(id, values) {
  const select = document.getElementById(id);
  for (const value of [...new Set(values)].filter(Boolean).sort()) {
    const option = document.createElement("option");
    option.value = option.textContent = value;
    select.append(option);
  }
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
    for (const key of ["owner", "verdict", "errors", "warnings", "new", "fixed", "minutes"]) {
      cell(line, row[key]);
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
