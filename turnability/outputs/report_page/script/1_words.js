// The report, and lengths in the unit that the reader wishes. All text goes in as text, never as
// markup: names in the report are by strangers.
const report = JSON.parse(document.getElementById("report").textContent);
const MM_PER_INCH = 25.4;
const KG_PER_POUND = 0.45359237;
const LEAST_TOLD = 1e-5; // of a length in the reader's unit; less is 0 but for rounding
const SVG = "http://www.w3.org/2000/svg";
const $ = (id) => document.getElementById(id);
const all = (selector) => [...document.querySelectorAll(selector)];
const root = document.documentElement;
const ownInch = root.dataset.units === "inch";
let inch = ownInch;
const unitListeners = [];

function trim(value, digits) {
  let made = value.toFixed(digits);
  if (made.includes(".")) made = made.replace(/0+$/, "").replace(/\.$/, "");
  return made === "-0" ? "0" : made;
}

// A length without and with its unit: mm to 0.001, inch to 0.0001 (from 100 in on to 0.01), as the
// other outputs tell it.
// What would be told as 0 and is none has one digit that is not: "less than 0.00004 in".
function number(mm, digits = 3) {
  const value = inch ? mm / MM_PER_INCH : mm;
  const told = !inch ? trim(value, digits) : trim(value, Math.abs(value) >= 100 ? Math.min(digits + 1, 2) : digits + 1);
  return told === "0" && Math.abs(value) >= LEAST_TOLD ? trim(Number(value.toPrecision(1)), 6) : told;
}
const unit = () => (inch ? "in" : "mm");
const lengthText = (mm, digits = 3) => `${number(mm, digits)} ${unit()}`;
const spanText = (ends, digits = 3) => {
  const [low, high] = ends.map((end) => number(end, digits));
  return low === high ? `${high} ${unit()}` : `${low} to ${high} ${unit()}`;
};
// as Python's mass_text
function massText(kg) {
  const grams = kg * 1000;
  if (!inch && grams >= 999.5) return `${trim(kg, 2)} kg`;
  if (!inch) return `${grams < 9.5 && grams > 0 ? trim(grams, 1 - Math.floor(Math.log10(grams))) : grams.toFixed(0)} g`;
  const pounds = kg / KG_PER_POUND;
  return pounds >= 0.995 ? `${trim(pounds, 2)} lb` : `${trim(16 * pounds, pounds >= 0.0625 ? 1 : 2)} oz`;
}
const count = (number_, what) => `${number_} ${what}${number_ === 1 ? "" : "s"}`;
const clean = (words) => words.replaceAll("-", " ");
// as Python's Departure.called
const called = (one) => {
  const form = one.kind === "other" ? one.parameters.form : null;
  return { splined: "splines", toothed: "teeth" }[form] ?? form ?? clean(one.kind);
};

// A sentence with each of its lengths marked, as `words.py` marks those of this report: in the unit
// in which its shop reads.
const LENGTHS = ownInch ? /(?<![\w.])(\d+\.\d+)(?:( to | × )(\d+(?:\.\d+)?))? in()(?![\w/])/gu
  : /(?<![\w.])(\d+(?:\.\d+)?)(?:( to | × )(\d+(?:\.\d+)?))? mm([³²]?)(?![\w/])/gu;

function prose(words) {
  const made = html("p", {});
  let last = 0;
  for (const found of words.matchAll(LENGTHS)) {
    const values = [found[1], found[3]].filter((v) => v !== undefined);
    const one = html("span", { class: "q" }, found[0]);
    one.dataset.mm = values.map((v) => Number(v) * (ownInch ? MM_PER_INCH : 1)).join(",");
    if (found[2]) one.dataset.between = found[2];
    if (found[4]) one.dataset.power = found[4] === "²" ? "2" : "3";
    made.append(words.slice(last, found.index), one);
    last = found.index + found[0].length;
  }
  made.append(words.slice(last));
  return made;
}

function tellQuantities(within) {
  for (const one of within.querySelectorAll(".q")) {
    if (one.dataset.own === undefined) one.dataset.own = one.textContent;
    if (inch === ownInch) {
      one.textContent = one.dataset.own;
      continue;
    }
    if (one.dataset.kg !== undefined) {
      one.textContent = massText(Number(one.dataset.kg));
      continue;
    }
    const power = Number(one.dataset.power || 1);
    const values = one.dataset.mm.split(",").map(Number);
    const shown = values.map((v) =>
      power === 1 ? number(v) : String(Number((inch ? v / MM_PER_INCH ** power : v).toPrecision(4))),
    );
    one.textContent = `${shown.join(one.dataset.between || "")} ${unit()}${["", "", "²", "³"][power]}`;
  }
}

function setUnits(wished) {
  inch = wished === "inch";
  tellQuantities(document);
  for (const listener of unitListeners) listener();
}

// Elements made by hand: `html("p", {class: "x"}, "text", child)`.
function html(tag, attributes = {}, ...children) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
  made.append(...children);
  return made;
}

function svg(tag, attributes = {}, ...children) {
  const made = document.createElementNS(SVG, tag);
  for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
  made.append(...children);
  return made;
}

function say(words) {
  if ($("caption")) $("caption").textContent = words;
}
