"use strict";
// Asks how it stands, and loads the report again when there is a new one.
const SIGNS = { busy: "…", fine: "✓", wrong: "!" };
const page = document.getElementById("page");
const which = document.getElementById("which");
let shown = null;

function show(text, kind) {
  const words = document.getElementById("words");
  if (words.textContent !== text) words.textContent = text; // else a reader would say it again
  document.getElementById("sign").textContent = SIGNS[kind];
  document.body.dataset.kind = kind;
}

function load(state) {
  const titles = state.titles;
  if (titles.join("\n") !== Array.from(which.options, (option) => option.text).join("\n")) {
    const before = which.value;
    which.replaceChildren(...titles.map((title, place) => new Option(title, place)));
    if (before && before < titles.length) which.value = before;
  }
  document.getElementById("choice").hidden = titles.length < 2;
  page.hidden = titles.length === 0;
  if (titles.length === 0) return;
  const target = "/page/" + (which.value || 0);
  if (page.getAttribute("src") === target) page.contentWindow.location.reload(); // keeps the place
  else page.src = target;
}

async function follow() {
  try {
    const state = await (await fetch("/state")).json();
    document.title = SIGNS[state.kind] + " " + state.name;
    show(state.words, state.kind);
    if (state.number !== shown) {
      shown = state.number;
      load(state);
    }
  } catch {
    show("turnability watch has ended; this page no longer follows the part", "wrong");
  }
  setTimeout(follow, 600);
}

which.addEventListener("change", () => { page.src = "/page/" + which.value; });
follow();
