// The plan, one step at a time: what is held, by what, and each tool at its work.
const steps = report.setups.flatMap((setup) =>
  [null, ...setup.operations].map((operation, i) => ({ setup, operation, name: `${setup.order}.${i}` })));

// A polygon of one side, on both sides of the axis.
const bothSidesData = (ring) => ringData(ring) + ringData(ring.map(([z, r]) => [z, -r]));
const shapes = (rings, kind) => rings.map((ring) => svg("path", { class: kind, d: bothSidesData(ring) }));
function holdingShapes(setup, operation) {
  const { grip, held } = setup;
  const [z0, z1] = grip.z_mm;
  const r = Math.max(RADIUS, grip.diameter_mm / 2);
  content = { low: Math.min(0, z0), high: Math.max(LENGTH, z1), radius: r, above: 0 };
  if (!held) return shapes([[[z0, 0], [z1, 0], [z1, grip.diameter_mm / 2], [z0, grip.diameter_mm / 2]]], "jaw");
  const low = setup.toward_chuck === "low";
  // each operation says what carries the free end meanwhile
  const carried = (...kinds) => !operation || kinds.includes(operation.support);
  const centred = carried("tailstock", "between-centres");
  const reach = (rings) => rings.flat().map(([z]) => z);
  const span = Math.max(...reach(held.grips), LENGTH) - Math.min(...reach(held.grips), 0);
  // of chuck and tailstock as much as shows what they are; the rest runs out of the frame
  const some = (z) => Math.max(-0.12 * span, Math.min(LENGTH + 0.12 * span, z));
  const seen = [...reach(held.grips), ...reach(held.stock), ...reach(centred ? held.centres : []).map(some)];
  const face = low ? Math.min(...reach(held.grips)) : Math.max(...reach(held.grips));
  seen.push(face + (low ? -0.08 : 0.08) * span, content.low, content.high);
  const tall = Math.max(...[...held.grips, ...held.steady].flat().map(([, radius]) => radius));
  content = { low: Math.min(...seen), high: Math.max(...seen), radius: Math.min(Math.max(tall, r), 1.5 * r), above: 0 };
  return [
    ...shapes(held.body, "chuck"),
    ...shapes(held.stock, "raw"),
    ...shapes(held.grips, "jaw"),
    ...shapes(held.centres, centred ? "jaw" : "jaw gone"),
    ...shapes(held.steady, carried("steady") ? "jaw" : "jaw gone"),
    ...shapes(held.kept_clear, "kept-clear"),
  ];
}

function showStep(index) {
  clearPick();
  if (index < 0 || index >= steps.length) return leaveSteps();
  stepNow = index;
  const { setup, operation, name } = steps[index];
  const turning = setup.toward_chuck === "high";
  turned = turning;
  $("turn-round").checked = turned;
  $("under").append(...holdingShapes(setup, operation));
  for (const before of steps.slice(0, index)) if (before.operation) mark(before.operation.segments, "done");
  press(`[data-step="${CSS.escape(name)}"]`);
  const chuck = setup.held && setup.held.holding !== setup.grip.kind ? ` in ${setup.held.holding}` : "";
  const raw = ["raw bar", "raw piece"].includes(setup.grip.kind);
  const flats = raw ? report.stock?.choice?.across_flats_mm : setup.grip.across_flats_mm;
  const size = flats ? `hex ${lengthText(flats)}` : `⌀${lengthText(setup.grip.diameter_mm)}`;
  const held = `${setup.grip.kind}, ${size} over ${lengthText(setup.grip.length_mm)}${chuck}`
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
      placeTool(operation.tool, setup.toward_chuck, operation.ends_at || (longest ? touching(shape, about, longest) : rest));
    }
    picked.segments = own;
    picked.faces = own.flatMap((id) => segmentById.get(id).faces);
    words = `Setup ${setup.order}, ${clean(operation.kind)} with ${operation.tool}: ${own.length ? count(own.length, "surface")
      : operation.kind === "part off" ? "the work comes off the bar" : "no surface of its own, it makes room"}.`
      + (operation.support && operation.support !== "none" ? ` Its free end is carried: ${clean(operation.support)}.` : "")
      + (about && operation.ends_at ? " The tool is drawn where its cut ends." : "");
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
  firstView();
  markRound();
}

// A small length to two figures that mean something: forces and stiffness are known no better.
const LEAST_BENT_MM = 0.001; // nobody measures less
const roughly = (mm) =>
  Math.abs(mm) < LEAST_BENT_MM ? `less than ${lengthText(LEAST_BENT_MM)}` : lengthText(Number(mm.toPrecision(2)), 4);

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
      sign(wz, foot - 54 / scale, word(`${roughly(worst)} on diameter`, { "text-anchor": X(wz) > LENGTH / 2 ? "end" : "start" })),
    );
  });
  const lands = (bending.lands || []).filter((l) => l.limit_mm);
  const nearest = lands.length ? lands.reduce((a, b) => (b.error_mm / b.limit_mm > a.error_mm / a.limit_mm ? b : a)) : null;
  return ` Bending adds up to ${roughly(worst)} on diameter (drawn enlarged).`
    + (nearest ? ` Nearest to its limit: ⌀${lengthText(nearest.diameter_mm)} varies by ${roughly(nearest.error_mm)} where ${lengthText(nearest.limit_mm)} is allowed.` : "");
}

unitListeners.push(() => { if (stepNow >= 0) showStep(stepNow); });
