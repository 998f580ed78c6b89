// A tool on the section: what it cuts, where its body enters the part, moved by hand or numbers.
let tool = null; // {name, toward, about, cutting, body, at}
const toolByName = new Map((report.tools || []).map((one) => [one.name, one]));
const ringData = (ring) => ring.map(([z, r], i) => `${i ? "L" : "M"}${z} ${-r}`).join("") + "Z";

function outlines(about, toward) {
  const axis = about.access === "outer" ? 1 : 0;
  const top = Math.max(...about.body.flat().map((p) => p[axis]), -Infinity);
  const far = 4 * (LENGTH + 2 * RADIUS);
  // the body goes on where its farthest edge is
  const endless = about.body.map((ring) =>
    ring.map((p) => (p[axis] >= top - 1e-6 ? p.map((v, c) => (c === axis ? v + far : v)) : p)));
  const laid = (rings) => (toward === "high" ? rings.map((ring) => ring.map(([z, r]) => [-z, r])) : rings);
  return { cutting: laid(about.cutting), body: laid(endless) };
}

const movedTo = (rings, [z, r]) => rings.map((ring) => ring.map(([a, b]) => [a + z, b + r]));

// Where the cutting outline touches a segment half way along it, from outside the material.
function touching(shape, about, id) {
  const { at, direction } = middle(id);
  const points = shape.cutting.flat();
  if (!points.length) return [...at];
  if (about.on_axis) {
    const zs = lines.get(id).map(([z]) => z);
    const down = Math.min(...points.map(([z]) => z));
    return shape.high ? [Math.max(...zs) - Math.max(...points.map(([z]) => z)), 0] : [Math.min(...zs) - down, 0];
  }
  const out = [direction[1], -direction[0]]; // material lies on the left
  const depth = (p) => p[0] * out[0] + p[1] * out[1];
  const least = Math.min(...points.map(depth));
  const near = points.filter((p) => depth(p) < least + 1e-6);
  const [z, r] = [0, 1].map((c) => near.reduce((sum, p) => sum + p[c], 0) / near.length);
  return [at[0] - z, at[1] - r];
}

function placeTool(name, toward, at) {
  const about = toolByName.get(name);
  if (!about) return;
  const shape = { ...outlines(about, toward), high: toward === "high" };
  tool = { name, toward, about, ...shape, at: about.on_axis ? [at[0], 0] : at };
  drawTool();
  drawCarriage();
}

function drawTool() {
  const [z, r] = tool.at;
  const move = `translate(${z} ${-r})`;
  const group = (clip) => svg("g", clip ? { "clip-path": "url(#in-part)" } : {},
    svg("g", { transform: move, class: clip ? "hits" : "tool" },
      svg("path", { class: clip ? "hit" : "tool-body", d: tool.body.map(ringData).join("") }),
      svg("path", { class: clip ? "gouge" : "tool-cut", d: tool.cutting.map(ringData).join("") })));
  const old = $("over").querySelectorAll(".tool-layer");
  for (const one of old) one.remove();
  const layer = svg("g", { class: "tool-layer" }, group(false), group(true),
    svg("path", { class: "tool-point", d: `M${z - 5 / scale} ${-r}h${10 / scale}M${z} ${-r - 5 / scale}v${10 / scale}` }));
  $("over").append(layer);
  tellTool();
}

function tellTool() {
  // a drill's first outline keeps the end of its flutes free for chips: it may be pushed on there
  const [free, held] = tool.about.kind === "drill" ? [tool.body.slice(0, 1), tool.body.slice(1)] : [[], tool.body];
  const chips = entered(movedTo(free, tool.at));
  const body = entered(movedTo(held, tool.at));
  const edge = entered(movedTo(tool.cutting, tool.at));
  const words = [
    body ? `The body enters the part, z ${spanText(body, 2)}.` : "The body is clear of the part.",
    chips ? `The end of its flutes is in the part, z ${spanText(chips, 2)}: chips hardly get out, draw it out often.` : "",
    edge ? `The cutting edge enters the finished part, z ${spanText(edge, 2)}.` : "",
  ];
  tool.clear = !body && !edge;
  if ($("tool-says")) {
    $("tool-says").textContent = words.filter(Boolean).join(" ");
    $("tool-says").className = tool.clear ? "" : "bad";
  }
  for (const [id, value] of [["tool-z", tool.at[0]], ["tool-d", 2 * tool.at[1]]]) {
    const field = $(id);
    if (field && document.activeElement !== field) field.value = number(value);
  }
}

function drawCarriage() {
  const panel = $("carriage");
  const reach = (report.reach?.tools || []).find((t) => t.tool === tool.name && t.toward_chuck === tool.toward);
  const surfaces = reach ? reach.reached_segments : [];
  const lefts = (report.reach?.left || []).filter((l) => l.stand && l.stand.tool === tool.name);
  const field = (id, words) => html("label", {}, `${words} (${unit()}) `,
    html("input", { id, type: "number", step: inch ? "0.01" : "0.5", inputmode: "decimal" }));
  const next = html("button", { type: "button", id: "tool-next" }, "Touch its next surface");
  next.disabled = !surfaces.length;
  panel.replaceChildren(
    html("b", {}, tool.name), " at ", field("tool-z", "z"), field("tool-d", "⌀"), next,
    ...lefts.slice(0, 6).map((l) => html("button", { type: "button", "data-stand": l.id }, `At ${l.id}`)),
    html("button", { type: "button", id: "tool-away" }, "Take it away"),
    html("span", { id: "tool-says", role: "status", "aria-live": "polite" }),
  );
  panel.hidden = false;
  $("tool-d").disabled = tool.about.on_axis;
  $("tool-z").addEventListener("input", () => moveTool([readMm("tool-z", tool.at[0]), tool.at[1]]));
  $("tool-d").addEventListener("input", () => moveTool([tool.at[0], readMm("tool-d", 2 * tool.at[1]) / 2]));
  next.addEventListener("click", () => {
    tool.next = ((tool.next ?? 0) + 1) % surfaces.length;
    const step = tool.next;
    moveTool(touching(tool, tool.about, surfaces[step]));
    tool.next = step;
    say(`${tool.name} touches ${sizeWords(segmentById.get(surfaces[step]))}.`);
  });
  for (const one of panel.querySelectorAll("[data-stand]")) {
    one.addEventListener("click", () => pickById("left", one.dataset.stand));
  }
  $("tool-away").addEventListener("click", () => { clearPick(); say("Nothing picked."); drawSigns(); markRound(); });
  tellTool();
}

function readMm(id, otherwise) {
  const value = Number.parseFloat($(id).value);
  if (!Number.isFinite(value)) return otherwise;
  return inch ? value * MM_PER_INCH : value;
}

function moveTool(at) {
  tool.at = tool.about.on_axis ? [at[0], 0] : at;
  drawTool();
}

function hideTool() {
  tool = null;
  if ($("carriage")) $("carriage").hidden = true;
}

// The nearest tool where it would have to stand to cut a region, as the report worked it out.
function standFor(left) {
  placeTool(left.stand.tool, left.stand.toward_chuck, left.stand.at);
  for (const hit of left.stand.hits) {
    $("over").append(svg("path", { class: "hit", d: ringData(hit) }));
  }
}

function pickTool(place) {
  const entry = report.reach.tools[place];
  const { tool: name, toward_chuck: toward } = entry;
  const again = picked?.kind === "tool" && picked.id === name && picked.toward === toward;
  clearPick();
  if (again) { say("Nothing picked."); drawSigns(); markRound(); return; }
  const cut = entry.reached_segments;
  const round = segments.filter((s) => s.surface !== "axis");
  mark(cut, "reached");
  press(`[data-entry="${place}"]`);
  const faces = cut.flatMap((id) => segmentById.get(id)?.faces || []);
  picked = { kind: "tool", id: name, toward, segments: cut, faces, level: "reached" };
  const left = (report.reach.left || []).find((l) => l.stand?.tool === name && l.stand.toward_chuck === toward);
  const about = toolByName.get(name);
  if (about) {
    const shape = { ...outlines(about, toward), high: toward === "high" };
    const longest = cut.length ? cut.reduce((a, b) => (segmentLength.get(b) > segmentLength.get(a) ? b : a)) : null;
    const rest = toward === "low" ? [LENGTH + 5, about.on_axis ? 0 : RADIUS] : [-5, about.on_axis ? 0 : RADIUS];
    placeTool(name, toward, longest ? touching(shape, about, longest) : left ? left.stand.at : rest);
  }
  const others = round.length - cut.length;
  say(`${name}, ${toward} end held: cuts ${cut.length} of ${round.length} surfaces over their whole length (drawn thick) and leaves ${others}.`
    + (about ? " Drag it, or type its place." : ""));
  drawSigns();
  markRound();
}

unitListeners.push(() => { if (tool) drawCarriage(); });
