// Another report of this part, picked from disk: what is new, gone or the same, and how sizes moved.
const SAME_MM = 0.2;
const RANK = { note: 0, warning: 1, error: 2 };

function samePlace(a, b) {
  return ["z_mm", "diameter_mm"].every((key) => {
    const [x, y] = [a.where[key], b.where[key]];
    if (!x || !y) return !x === !y;
    return x.every((v, i) => Math.abs(v - y[i]) <= SAME_MM);
  });
}

// Each earlier finding stands for one of today's at most: same rule, same place, no worse.
function compareFindings(now, earlier) {
  const left = [...earlier];
  const result = { fresh: [], same: [] };
  for (const one of now) {
    const k = left.findIndex((old) => old.rule === one.rule && RANK[one.level] <= RANK[old.level] && samePlace(one, old));
    if (k < 0) result.fresh.push(one);
    else result.same.push([one, left.splice(k, 1)[0]]);
  }
  return { ...result, gone: left };
}

// Why a file is no report that this page can compare with; null where it is one.
function whyNot(old) {
  if (typeof old !== "object" || old === null || !("report_version" in old)) return "it is no report of turnability";
  if (old.report_version !== report.report_version) return `it is of report version ${old.report_version}, this page of ${report.report_version}`;
  if (!Array.isArray(old.findings) || !old.findings.every((f) => f && typeof f.rule === "string" && f.where && f.level in RANK
    && typeof f.message === "string")) return "its findings are damaged";
  const p = old.profile;
  if (p && !(Array.isArray(p.loops) && p.loops.every((l) => Array.isArray(l?.segments) && l.segments.every(isSegment)))) return "its profile is damaged";
  return null;
}

function isSegment(one) {
  const point = (p) => Array.isArray(p) && p.length === 2 && p.every(Number.isFinite);
  return one && point(one.start) && point(one.end) && (one.kind === "line"
    || (one.kind === "arc" && point(one.centre) && Number.isFinite(one.radius_mm))
    || (one.kind === "spline" && Array.isArray(one.points) && one.points.every(point)));
}

let earlier = null; // {name, old}

function tellComparison() {
  if (!earlier) return;
  const { name, old } = earlier;
  const { fresh, same, gone } = compareFindings(report.findings, old.findings);
  const rows = [["Verdict", clean(String(old.verdict)), clean(report.verdict)]];
  const size = (label, read, tell) => {
    const [a, b] = [read(old), read(report)];
    if (Number.isFinite(a) || Number.isFinite(b)) rows.push([label, Number.isFinite(a) ? tell(a) : "–", Number.isFinite(b) ? tell(b) : "–"]);
  };
  size("Length", (d) => d.profile?.length_mm, lengthText);
  size("Largest ⌀", (d) => d.profile?.max_diameter_mm, lengthText);
  size("Through bore", (d) => d.profile?.through_bore_mm, lengthText);
  size("Stock", (d) => d.stock?.choice?.mass_kg, (v) => `${v.toFixed(2)} kg`);
  size("Uncut regions", (d) => d.reach?.left?.length, String);
  size("Setups", (d) => d.setups?.length, String);
  size("Minutes a piece", (d) => d.effort?.minutes_per_piece, (v) => v.toFixed(0));
  const table_ = html("table", {}, html("thead", {}, html("tr", {},
    html("td", {}), html("th", { scope: "col" }, "earlier"), html("th", { scope: "col" }, "this one"))),
  html("tbody", {}, ...rows.map(([label, a, b]) => html("tr", a === b ? {} : { class: "moved" },
    html("th", { scope: "row" }, label), html("td", {}, a), html("td", {}, b)))));
  const list = (words, found, button) => !found.length ? [] : [html("h3", {}, `${words} (${found.length})`),
    html("ol", {}, ...found.map((f) => html("li", {}, button
      ? html("button", { type: "button", "data-finding": f.id, "aria-pressed": "false" }, `${f.id} ${clean(f.rule)}`)
      : html("b", {}, clean(f.rule)), html("p", {}, f.message))))];
  const samePart = old.source?.path && report.source.path
    && old.source.path.split(/[\\/]/).pop() !== report.source.path.split(/[\\/]/).pop();
  $("compared").replaceChildren(
    html("p", {}, html("b", {}, name), `: ${fresh.length} new, ${same.length} the same, ${gone.length} gone.`
      + (samePart ? ` It is of another file, ${old.source.path.split(/[\\/]/).pop()}.` : "")
      + (old.inputs?.shop?.sha256 !== report.inputs.shop.sha256 ? " It was made with another shop file." : "")),
    table_, ...list("New", fresh, true), ...list("Gone", gone, false));
  drawEarlier(old);
}

function drawEarlier(old) {
  if (!drawing) return;
  for (const one of $("under").querySelectorAll(".earlier")) one.remove();
  for (const loop of old.profile ? old.profile.loops : []) {
    const ring = loop.segments.flatMap((one) => polyline(one).slice(0, -1));
    $("under").append(svg("path", { class: "earlier", d: ringData(ring) }));
  }
}

async function readEarlier(file) {
  let old;
  try {
    old = JSON.parse(await file.text());
  } catch {
    old = undefined;
  }
  const why = old === undefined ? "it is no JSON, or cut short" : whyNot(old);
  if (why) {
    earlier = null;
    drawEarlier({});
    $("compared").replaceChildren(html("p", { class: "bad" }, `${file.name} cannot be compared: ${why}. Pick a …turnability.json written by the same version.`));
    return;
  }
  earlier = { name: file.name, old };
  tellComparison();
}

unitListeners.push(tellComparison);
