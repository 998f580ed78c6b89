// The drawing: which stretch is seen, signs that keep their size, sizes on demand, what is picked.
const drawing = $("section");
const table = $("table");
const LEVELS = { error: 0, warning: 1, note: 2 };
const weight = (finding) => finding.counts_as || finding.level;
// Those that may stay are told apart from those that count.
const groupOf = (finding) => (finding.accepted && !finding.accepted.expired && weight(finding) !== "off" ? "accepted" : weight(finding));
const levelOf = (finding) => (weight(finding) === "off" ? "note" : weight(finding));
const SHAPES = {
  error: "M-17 -10H17L23 0L17 10H-17L-23 0Z",
  warning: "M0 -13L24 9H-24Z",
  note: "M-14 -10H14A10 10 0 0 1 14 10H-14A10 10 0 0 1 -14 -10Z",
  uncut: "M-17 -10H17V10H-17Z",
  feature: "M-17 -9H17V9H-17Z",
};
const hiddenLevels = new Set();
let turned = false; // high end to the left
let scale = 1; // px per mm
let view = null; // what is seen: x, y, w, h in mm, as drawn
let content = { low: 0, high: LENGTH, radius: RADIUS, above: 0 };
let picked = null; // {kind, id, segments, faces, level, box}
let stepNow = -1; // which step of the plan is shown
let marks = []; // functions that add signs; run again whenever the scale changes

let paper = null; // px of the drawing on paper, while it is printed
const frame = () => paper || [drawing.clientWidth || 1000, drawing.clientHeight || 400];
const X = (z) => (turned ? LENGTH - z : z);

// All of it from the outside down to the radius `low`: the far side's outside, or the bore.
function wholeView(low = -content.radius) {
  const [cw, ch] = frame();
  const [left, right, bottom] = [46, 46, $("show-sizes").checked ? 84 : 42];
  const [width, height] = [content.high - content.low, content.radius - low];
  const fit = (above) => Math.max(Math.min((cw - left - right) / width, (ch - above - bottom - content.above) / height), 1e-6);
  let top = stepNow < 0 ? tagsHeight(1) : 16;
  // the smaller the part is drawn, the more rows its tags need, and these take of its height
  for (let i = 0; i < 3 && stepNow < 0; i++) top = tagsHeight(tagRows(tags(), LENGTH * fit(top), cw));
  const s = fit(top);
  const x0 = turned ? LENGTH - content.high : content.low;
  const spare = ch / s - (height + (top + bottom + content.above) / s);
  return { x: x0 - (cw / s - width) / 2, y: -content.radius - (top + content.above) / s - spare / 2, w: cw / s, h: ch / s };
}

function setView(wished) {
  if (!drawing) return;
  view = wished;
  const [cw, ch] = frame();
  scale = Math.min(cw / view.w, ch / view.h);
  view = { x: view.x + view.w / 2 - cw / scale / 2, y: view.y + view.h / 2 - ch / scale / 2, w: cw / scale, h: ch / scale };
  drawing.setAttribute("viewBox", `${view.x} ${view.y} ${view.w} ${view.h}`);
  $("flip").setAttribute("transform", turned ? `translate(${LENGTH} 0) scale(-1 1)` : "");
  for (const hatch of all("#section .hatch")) {
    const step = { "cut-hatch": 9, "left-hatch": 5, "grip-hatch": 7, "hit-hatch": 4 }[hatch.id] / scale;
    hatch.setAttribute("patternTransform", `scale(${step}) rotate(${hatch.dataset.angle})`);
  }
  drawSigns();
}

function zoom(by, at = null) {
  const [cx, cy] = at || [view.x + view.w / 2, view.y + view.h / 2];
  const k = Math.max(by, 1e-4);
  setView({ x: cx - (cx - view.x) / k, y: cy - (cy - view.y) / k, w: view.w / k, h: view.h / k });
}

function closeTo([z0, z1, r0, r1]) {
  const [w, h] = [Math.max(1.6 * (z1 - z0), 1.2), Math.max(3 * (r1 - r0), 0.8)];
  setView({ x: X((z0 + z1) / 2) - w / 2, y: -(r0 + r1) / 2 - h / 2, w, h });
}

// The cut half alone, for rings and discs whose section is small beside their diameter.
const sectionAlone = () => setView(wholeView(Math.min(...outline.map(([, r]) => r))));

// What is shown at first: the whole part, or the cut half of a ring or disc too thin to be seen so.
const THIN_PX = 36;
function firstView() {
  const whole = wholeView();
  const px = Math.min(frame()[0] / whole.w, frame()[1] / whole.h);
  const inner = Math.min(...outline.map(([, r]) => r));
  if (Math.min(LENGTH, RADIUS - inner) * px < THIN_PX && RADIUS - inner < 8 * LENGTH && LENGTH < 8 * (RADIUS - inner)) sectionAlone();
  else setView(whole);
}

const sees = (x, y) => x >= view.x && x <= view.x + view.w && y >= view.y && y <= view.y + view.h;

// A group that keeps its size on the screen; lengths within it are px.
function sign(z, y, ...children) {
  return svg("g", { transform: `translate(${X(z)} ${y}) scale(${1 / scale})` }, ...children);
}

function word(words, more = {}) {
  const made = svg("text", { class: "size-text", "text-anchor": "middle", ...more });
  made.textContent = words;
  return made;
}

function line(z0, y0, z1, y1, kind) {
  return svg("path", { class: kind, d: `M${X(z0)} ${y0}L${X(z1)} ${y1}` });
}

function drawSigns() {
  const signs = $("signs");
  signs.replaceChildren();
  if (!$("show-sizes").checked) drawRuler(signs);
  if (stepNow < 0) drawTags(signs); // while the plan is shown, jaws and tools want the room
  if ($("show-sizes").checked) drawAllSizes(signs);
  if (picked) drawPicked(signs);
  for (const mark of marks) mark(signs);
}

function drawRuler(signs) {
  const perUnit = (inch ? MM_PER_INCH : 1) * scale;
  const power = 10 ** Math.floor(Math.log10(60 / perUnit));
  const step = [1, 2, 5, 10].map((k) => k * power).find((s) => s * perUnit >= 60) * (inch ? MM_PER_INCH : 1);
  const y = Math.min((stepNow < 0 ? RADIUS : content.radius) + 14 / scale, view.y + view.h - 30 / scale);
  const group = svg("g", { class: "ruler" });
  group.append(line(0, y, LENGTH, y, "size"));
  const places = [0];
  for (let z = step; z < LENGTH - 0.9 * step; z += step) places.push(z);
  // the length stands whatever room there is, and its number is the longest
  const halves = (z) => 3.4 * (number(z).length + lengthText(LENGTH).length) + 6;
  while (places.length && (LENGTH - places.at(-1)) * scale < halves(places.at(-1))) places.pop();
  for (const z of [...places, LENGTH]) {
    if (!sees(X(z), 0) && (X(z) < view.x || X(z) > view.x + view.w)) continue;
    group.append(line(z, y, z, y + 5 / scale, "size"));
    group.append(sign(z, y + 17 / scale, word(z === LENGTH ? lengthText(z) : number(z))));
  }
  signs.append(group);
}

// Picking: one thing at a time is shown; whatever shows it is pressed.
function boxOf(ids, polygon = []) {
  const points = [...ids.flatMap((id) => lines.get(id) || []), ...polygon];
  if (!points.length) return null;
  const [z, r] = [0, 1].map((c) => points.map((p) => p[c]));
  return [Math.min(...z), Math.max(...z), Math.min(...r), Math.max(...r)];
}

function clearPick() {
  picked = null;
  for (const one of all("[aria-pressed=true]")) one.setAttribute("aria-pressed", "false");
  for (const one of all("#section .seg, #section .region, #section .departure")) {
    one.classList.remove("on", "reached", "done", "error", "warning", "note");
  }
  $("over")?.replaceChildren();
  $("under")?.replaceChildren(...($("under").querySelectorAll(".earlier")));
  marks = [];
  if (typeof hideTool === "function") hideTool();
}

function mark(ids, ...kinds) {
  for (const id of ids) {
    for (const one of all(`#section .seg[data-segment="${CSS.escape(id)}"]`)) one.classList.add(...kinds);
  }
}

function press(selector) {
  for (const one of all(selector)) one.setAttribute("aria-pressed", "true");
}

const finders = {
  finding: (id) => {
    const one = report.findings.find((f) => f.id === id);
    const box = boxOf(one.where.segments);
    const exact = one.where.z_mm && one.where.diameter_mm
      ? [...one.where.z_mm, one.where.diameter_mm[0] / 2, one.where.diameter_mm[1] / 2] : box;
    const faces = new Set(one.where.faces);
    for (const s of one.where.segments) for (const f of segmentById.get(s)?.faces || []) faces.add(f);
    return { segments: one.where.segments, box: exact, faces: [...faces], level: levelOf(one),
      words: `${id}, ${clean(one.rule)}. ${inch === ownInch ? one.message : inWords(id)}` };
  },
  left: (id) => {
    const one = report.reach.left.find((l) => l.id === id);
    const stand = one.stand;
    return { segments: [], box: boxOf([], one.polygon), level: "uncut", left: one,
      faces: one.segments.flatMap((s) => segmentById.get(s)?.faces || []),
      words: `${id}: no tool removes this, up to ${lengthText(one.deepest_mm)} from what is cut: ${whyLeft(id)}.`
        + (stand ? ` ${stand.tool} is drawn where it would have to stand`
          + (stand.hits.length ? ", its body hatched where it would hit." : ".") : "") };
  },
  feature: (id) => {
    const one = report.features.find((f) => f.id === id);
    return { segments: one.segments, box: boxOf(one.segments), faces: one.faces, level: "feature", sizes: one.segments.slice(0, 1),
      words: `${id}, ${clean(one.kind)}: z ${spanText(one.z_mm)}, ⌀${spanText(one.diameter_mm)}.` };
  },
  departure: (id) => {
    const one = report.departures.find((d) => d.id === id);
    return { segments: [], faces: one.faces, level: "feature", departure: id,
      box: one.z_mm ? [...one.z_mm, 0, RADIUS] : null,
      words: `${id}, ${called(one)}: z ${one.z_mm ? spanText(one.z_mm) : "unknown"}; not turned.` };
  },
  segment: (id) => {
    const one = segmentById.get(id);
    const about = report.findings.filter((f) => f.where.segments.includes(id)).map((f) => f.id);
    const names = report.features.filter((f) => f.segments.includes(id)).map((f) => `${f.id} ${clean(f.kind)}`);
    return { segments: [id], sizes: [id], box: boxOf([id]), faces: one.faces, level: "feature",
      words: `${sizeWords(one)}${names.length ? `; ${names.join(", ")}` : ""}${about.length ? `; see ${about.join(", ")}` : ""}.` };
  },
};

const whyLeft = (id) => document.querySelector(`button[data-left="${CSS.escape(id)}"]`).closest("tr").dataset.why;

// The message as the list tells it, in the unit that is wished.
function inWords(id) {
  return document.querySelector(`[data-finding="${CSS.escape(id)}"]`)?.parentElement.querySelector("p")?.textContent || "";
}

function pickById(kind, id) {
  const again = picked && picked.kind === kind && picked.id === id;
  clearPick();
  if (again) {
    say("Nothing picked.");
  } else {
    picked = { kind, id, ...finders[kind](id) };
    mark(picked.segments, "on", picked.level);
    press(`[data-${kind}="${CSS.escape(id)}"]:is(button)`);
    for (const one of all(`#section [data-${kind}="${CSS.escape(id)}"]`)) one.classList.add("on");
    if (picked.left?.stand) standFor(picked.left);
    say(picked.words);
  }
  if (drawing) drawSigns();
  markRound();
}

function tellAgain() {
  if (picked?.kind in finders) {
    picked = { ...picked, ...finders[picked.kind](picked.id) };
    say(picked.words);
  }
  if (drawing) drawSigns();
}
unitListeners.push(tellAgain);
