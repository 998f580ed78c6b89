// The plan, one step at a time: what is held, by what, and each tool at its work.
const steps = report.setups.flatMap((setup) =>
  [null, ...setup.operations].map((operation, i) => ({ setup, operation, name: `${setup.order}.${i}` })));

const box = (z0, z1, r0, r1, kind) => svg("path", { class: kind, d: `M${z0} ${-r0}H${z1}V${-r1}H${z0}Z` });

function bothBoxes(z0, z1, r0, r1, kind) {
  return [box(z0, z1, r0, r1, kind), box(z0, z1, -r0, -r1, kind)];
}

function holdingSigns(setup, operation) {
  const { grip } = setup;
  // an operation says what carries the free end meanwhile
  const support = operation?.support ?? setup.support;
  const low = setup.toward_chuck === "low";
  const [z0, z1] = grip.z_mm;
  const out = low ? -1 : 1;
  const r = grip.diameter_mm / 2;
  const tall = Math.max(0.3 * RADIUS, 6);
  const back = low ? Math.min(z0, 0) : Math.max(z1, LENGTH);
  const chuck = back + out * Math.max(0.12 * LENGTH, 6);
  const made = [];
  if (grip.kind === "raw bar") {
    const end = low ? 0 : LENGTH;
    const reach = low ? [back, end] : [end, back];
    made.push(...bothBoxes(...reach, 0, r, "raw"));
    made.push(...bothBoxes(low ? 0 : -2, low ? LENGTH + 2 : LENGTH, 0, r, "raw-outline"));
  }
  const [j0, j1] = [Math.min(chuck, z0, z1), Math.max(chuck, z0, z1)];
  if (grip.surface === "inner") {
    made.push(...bothBoxes(j0, j1, Math.max(r - tall, 0.3 * r), r, "jaw"));
  } else {
    made.push(...bothBoxes(low ? j0 : z0, low ? z1 : j1, r, r + tall, "jaw"));
  }
  const face = chuck + out * Math.max(0.05 * LENGTH, 4);
  made.push(...bothBoxes(Math.min(chuck, face), Math.max(chuck, face), 0, Math.max(RADIUS, r) + tall, "chuck"));
  const centre = (z, way) => {
    const size = Math.max(0.12 * LENGTH, 8);
    const h = size * Math.tan(Math.PI / 6);
    return svg("path", { class: "jaw", d: `M${z} 0L${z + way * size} ${-h}V${h}Z` });
  };
  if (support === "tailstock" || support === "between-centres") made.push(centre(low ? LENGTH : 0, -out));
  if (support === "between-centres") made.push(centre(low ? 0 : LENGTH, out));
  if (support === "steady") {
    const on = setup.steady_z_mm;
    const free = on ? (on[0] + on[1]) / 2 : low ? (z1 + LENGTH) / 2 : z0 / 2;
    const size = Math.max(0.06 * LENGTH, 3);
    const at = highest(Math.max(0, Math.min(LENGTH, free)));
    for (const side of [1, -1]) made.push(svg("circle", { class: "jaw", cx: free, cy: -side * (at + size), r: size }));
  }
  const ends = [face, low ? LENGTH : 0, z0, z1, 0, LENGTH];
  content = { low: Math.min(...ends), high: Math.max(...ends), radius: Math.max(RADIUS, r) + tall, above: 0 };
  if (support === "tailstock") {
    const size = Math.max(0.12 * LENGTH, 8);
    if (low) content.high += size; else content.low -= size;
  }
  return made;
}

function showStep(index) {
  clearPick();
  if (index < 0 || index >= steps.length) return leaveSteps();
  stepNow = index;
  const { setup, operation, name } = steps[index];
  const turning = setup.toward_chuck === "high";
  turned = turning;
  $("turn-round").checked = turned;
  $("under").append(...holdingSigns(setup, operation));
  for (const before of steps.slice(0, index)) if (before.operation) mark(before.operation.segments, "done");
  press(`[data-step="${CSS.escape(name)}"]`);
  const held = `${setup.grip.kind}, ⌀${lengthText(setup.grip.diameter_mm)} over ${lengthText(setup.grip.length_mm)}`
    + (setup.support === "none" ? "" : `, ${clean(setup.support)}`);
  let words = `Setup ${setup.order}: ${setup.toward_chuck} end to the chuck, held by ${held}.`;
  picked = { kind: "step", id: name, segments: [], faces: [], level: "reached" };
  if (operation) {
    const own = operation.segments.filter((id) => segmentById.has(id));
    mark(own, "reached");
    const about = toolByName.get(operation.tool);
    if (about) {
      const shape = { ...outlines(about, setup.toward_chuck), high: turning };
      const longest = own.length ? own.reduce((a, b) => (segmentLength.get(b) > segmentLength.get(a) ? b : a)) : null;
      const rest = [setup.toward_chuck === "low" ? LENGTH + 2 : -2, about.on_axis ? 0 : RADIUS];
      placeTool(operation.tool, setup.toward_chuck, longest ? touching(shape, about, longest) : rest);
    }
    picked.segments = own;
    picked.faces = own.flatMap((id) => segmentById.get(id).faces);
    words = `Setup ${setup.order}, ${clean(operation.kind)} with ${operation.tool}: ${own.length ? count(own.length, "surface") : "no surface of its own, it makes room"}.`;
  }
  if ($("show-bending").checked) words += bendingSign(setup);
  $("step-says").textContent = `Step ${index + 1} of ${steps.length}`;
  say(words);
  setView(wholeView());
  if (tool) drawTool(); // its cross follows the scale
  markRound();
}

function leaveSteps() {
  if (stepNow < 0) return;
  stepNow = -1;
  turned = false;
  $("turn-round").checked = false;
  content = { low: 0, high: LENGTH, radius: RADIUS, above: 0 };
  if ($("step-says")) $("step-says").textContent = "";
  say("Nothing picked.");
  setView(wholeView());
  markRound();
}

// The deviation at each cutting place, above the part, much enlarged.
function bendingSign(setup) {
  const bending = setup.bending;
  const curve = bending?.curve_mm;
  if (!curve?.length) return " No bending is known for this setup.";
  const worst = Math.max(...curve.map(([, e]) => Math.abs(e)), 1e-9);
  content.above = 70;
  marks.push((signs) => {
    const foot = -content.radius - 10 / scale;
    const gain = 50 / scale / worst;
    const points = curve.map(([z, e], i) => `${i ? "L" : "M"}${X(z)} ${foot - Math.abs(e) * gain}`).join("");
    const [first, last] = [X(curve[0][0]), X(curve[curve.length - 1][0])];
    const [wz] = curve.reduce((a, b) => (Math.abs(b[1]) > Math.abs(a[1]) ? b : a));
    signs.append(
      svg("path", { class: "bend-area", d: `${points}L${last} ${foot}L${first} ${foot}Z` }),
      svg("path", { class: "bend", d: points }),
      sign(wz, foot - 54 / scale, word(`${lengthText(worst, 5)} on diameter`, { "text-anchor": X(wz) > LENGTH / 2 ? "end" : "start" })),
    );
  });
  const lands = (bending.lands || []).filter((l) => l.limit_mm);
  const nearest = lands.length ? lands.reduce((a, b) => (b.error_mm / b.limit_mm > a.error_mm / a.limit_mm ? b : a)) : null;
  return ` Bending adds up to ${lengthText(worst, 5)} on diameter (drawn enlarged).`
    + (nearest ? ` Nearest to its limit: ⌀${lengthText(nearest.diameter_mm)} varies by ${lengthText(nearest.error_mm, 5)} where ${lengthText(nearest.limit_mm)} is allowed.` : "");
}

unitListeners.push(() => { if (stepNow >= 0) showStep(stepNow); });
