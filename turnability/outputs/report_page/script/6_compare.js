// Another report of this part, picked from disk: what is new, gone or the same, and how sizes moved.
const SAME_MM = 0.2;
const RANK = { note: 0, warning: 1, error: 2 };

// How the earlier part lies on this one, as `standing/match.py` finds it: turned end for end or not,
// then shifted; on either side of a changed length by another amount.
const CORNER_MM = 0.01;
const cornersOf = (document_) => document_.profile.loops.flatMap((loop) => loop.segments.map((one) => one.start));

function layingOf(old) {
  if (!profile || !old.profile) return { length: 0, turned: false, shifts: [0] };
  const length = old.profile.length_mm;
  const now = cornersOf(report);
  const ways = [false, true].map((turned_) => {
    const there = cornersOf(old).map(([z, r]) => [turned_ ? length - z : z, r]);
    const votes = new Map();
    for (const [z0, r0] of there) {
      for (const [z1, r1] of now) {
        if (Math.abs(r1 - r0) > CORNER_MM || r0 <= CORNER_MM) continue;
        const shift = Math.round((z1 - z0) * 100) / 100;
        votes.set(shift, (votes.get(shift) || 0) + 1);
      }
    }
    const most = [...votes].reduce((best, one) => (one[1] > best[1] ? one : best), [0, 0]);
    const shifts = [0, LENGTH - length];
    if (most[1] >= Math.max(3, Math.floor(there.length / 3))) shifts.push(most[0]);
    const fall = there.filter(([z0, r0]) => now.some(([z1, r1]) => Math.abs(r1 - r0) <= CORNER_MM
      && shifts.some((shift) => Math.abs(z1 - z0 - shift) <= 2 * CORNER_MM))).length;
    return { length, turned: turned_, shifts, fall };
  });
  return ways[1].fall > ways[0].fall ? ways[1] : ways[0];
}

// How far apart two findings lie, mm; null where they are two.
function apart(now, old, laying) {
  if (now.rule !== old.rule || RANK[now.level] > RANK[old.level] || isWorse(now, old)) return null;
  const [a, b] = [now.where, old.where];
  if (!a.z_mm !== !b.z_mm || !a.diameter_mm !== !b.diameter_mm) return null;
  let worst = 0;
  if (a.diameter_mm) worst = Math.max(...a.diameter_mm.map((v, i) => Math.abs(v - b.diameter_mm[i])));
  if (a.z_mm) {
    const [low, high] = b.z_mm;
    const laid = laying.turned ? [laying.length - high, laying.length - low] : [low, high];
    for (const i of [0, 1]) {
      worst = Math.max(worst, Math.min(...laying.shifts.map((shift) => Math.abs(a.z_mm[i] - laid[i] - shift))));
    }
  }
  return worst <= SAME_MM ? worst : null;
}

function isWorse(now, old) {
  if ([now.measured, now.limit, old.measured, old.limit].some((v) => !Number.isFinite(v)) || now.unit !== old.unit) return false;
  return Math.abs(now.measured - now.limit) > Math.abs(old.measured - old.limit) + 0.05 * Math.abs(now.limit);
}

// Each earlier finding stands for one of today's at most, the nearest first.
function compareFindings(now, earlier_, laying) {
  const pairs = now.flatMap((one, i) => earlier_.map((old, k) => [apart(one, old, laying), one.message !== old.message, i, k]))
    .filter(([off]) => off !== null)
    .map(([off, ...rest]) => [Math.round(off * 1000), ...rest])
    .sort((a, b) => a[0] - b[0] || a[1] - b[1] || a[2] - b[2] || a[3] - b[3]);
  const [taken, used] = [new Set(), new Set()];
  for (const [, , i, k] of pairs) {
    if (taken.has(i) || used.has(k)) continue;
    taken.add(i);
    used.add(k);
  }
  const judged = new Set([...report.rules.filter((r) => ["passed", "found"].includes(r.status)).map((r) => r.rule), ...now.map((f) => f.rule)]);
  const wasJudged = (f) => judged.has(f.rule) || (f.rule === "not-axisymmetric" && profile);
  const left = earlier_.filter((_, k) => !used.has(k));
  return { fresh: now.filter((_, i) => !taken.has(i)), same: taken.size,
    gone: left.filter(wasJudged), unknown: left.filter((f) => !wasJudged(f)) };
}

// Why a file is no report that this page can compare with; null where it is one.
function whyNot(old) {
  if (typeof old !== "object" || old === null || !("report_version" in old)) return "it is no report of turnability";
  if (old.report_version !== report.report_version) return `it is of report version ${old.report_version}, this page of ${report.report_version}`;
  if (!Array.isArray(old.findings) || !old.findings.every((f) => f && typeof f.rule === "string" && f.where && f.level in RANK
    && typeof f.message === "string")) return "its findings are damaged";
  const p = old.profile;
  if (!old.findings.every((f) => ["z_mm", "diameter_mm"].every((key) => f.where[key] === null || isPair(f.where[key])))) return "its findings are damaged";
  if (p && !Number.isFinite(p.length_mm)) return "its profile is damaged";
  if (p && !(Array.isArray(p.loops) && p.loops.every((l) => Array.isArray(l?.segments) && l.segments.every(isSegment)))) return "its profile is damaged";
  return null;
}

const isPair = (p) => Array.isArray(p) && p.length === 2 && p.every(Number.isFinite);

function isSegment(one) {
  const point = isPair;
  return one && point(one.start) && point(one.end) && (one.kind === "line"
    || (one.kind === "arc" && point(one.centre) && Number.isFinite(one.radius_mm))
    || (one.kind === "spline" && Array.isArray(one.points) && one.points.every(point)));
}

let earlier = null; // {name, old}

function tellComparison() {
  if (!earlier) return;
  const { name, old } = earlier;
  const laying = layingOf(old);
  const { fresh, same, gone, unknown } = compareFindings(report.findings, old.findings, laying);
  const rows = [["Verdict", clean(String(old.verdict)), clean(report.verdict)]];
  const size = (label, read, tell) => {
    const [a, b] = [read(old), read(report)];
    if (Number.isFinite(a) || Number.isFinite(b)) rows.push([label, Number.isFinite(a) ? tell(a) : "–", Number.isFinite(b) ? tell(b) : "–"]);
  };
  size("Length", (d) => d.profile?.length_mm, lengthText);
  size("Largest ⌀", (d) => d.profile?.max_diameter_mm, lengthText);
  size("Through bore", (d) => d.profile?.through_bore_mm, lengthText);
  size("Stock", (d) => d.stock?.choice?.mass_kg, massText);
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
      : html("b", {}, clean(f.rule)), prose(f.message))))];
  const samePart = old.source?.path && report.source.path
    && old.source.path.split(/[\\/]/).pop() !== report.source.path.split(/[\\/]/).pop();
  $("compared").replaceChildren(
    html("p", {}, html("b", {}, name), `: ${fresh.length} new, ${same} the same, ${gone.length} gone`
      + (unknown.length ? `, ${unknown.length} no longer judged.` : ".")
      + (laying.turned ? " It lay the other way round." : "")
      + (samePart ? ` It is of another file, ${old.source.path.split(/[\\/]/).pop()}.` : "")
      + (old.inputs?.shop?.sha256 !== report.inputs.shop.sha256 ? " It was made with another shop file." : "")),
    table_, ...list("New", fresh, true), ...list("Gone", gone, false),
    ...list("No longer judged", unknown, false));
  tellQuantities($("compared"));
  drawEarlier(old, laying);
}

function drawEarlier(old, laying) {
  if (!drawing) return;
  for (const one of $("under").querySelectorAll(".earlier")) one.remove();
  for (const loop of old.profile ? old.profile.loops : []) {
    const ring = loop.segments.flatMap((one) => polyline(one).slice(0, -1))
      .map(([z, r]) => [laying.turned ? laying.length - z : z, r]);
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
