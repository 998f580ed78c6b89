// Sizes on demand: of what is picked, or all that have room.
// What is to be said of one segment's size.
function sizeWords(one) {
  const [[z0, r0], [z1, r1]] = [one.start, one.end];
  const z = [Math.min(z0, z1), Math.max(z0, z1)];
  const d = [2 * Math.min(r0, r1), 2 * Math.max(r0, r1)];
  const where = `z ${spanText(z)}, ⌀${spanText(d)}`;
  const axial = lengthText(z[1] - z[0]);
  if (one.kind === "arc") return `${one.id}: radius ${lengthText(one.radius_mm)}, ${where}`;
  if (one.kind === "spline") return `${one.id}: free contour, ${where}`;
  if (one.surface === "end") return `${one.id}: flat across the axis at ${where}`;
  if (Math.abs(r0 - r1) < 1e-6) {
    return `${one.id}: ${one.surface === "inner" ? "bore" : "cylinder"} ⌀${lengthText(d[1])}, ${axial} long, z ${spanText(z)}`;
  }
  const angle = (Math.atan2(Math.abs(r1 - r0), Math.abs(z1 - z0)) * 180) / Math.PI;
  return `${one.id}: taper of ${trim(angle, 2)}° to the axis, ${axial} long, ${where}`;
}

function arrowHeads(x0, y0, x1, y1) {
  const a = Math.atan2(y1 - y0, x1 - x0);
  const tip = (x, y, at) => {
    const [p, q] = [7 / scale, 2.2 / scale];
    const [c, s] = [Math.cos(at), Math.sin(at)];
    return `M${x} ${y}L${x + p * c - q * s} ${y + p * s + q * c}L${x + p * c + q * s} ${y + p * s - q * c}Z`;
  };
  return svg("path", { class: "size-tip", d: tip(x0, y0, a) + tip(x1, y1, a + Math.PI) });
}

function drawSizesOf(signs, id) {
  const one = segmentById.get(id);
  const [[z0, r0], [z1, r1]] = [one.start, one.end];
  const { at } = middle(id);
  const group = svg("g", { class: "sizes" });
  if (one.kind === "arc") {
    group.append(sign(at[0], -at[1] - 12 / scale, word(`R ${number(one.radius_mm)}`)));
  } else if (Math.abs(z1 - z0) > 1e-6) {
    const away = one.surface === "inner" ? 16 / scale : -16 / scale;
    const y = (one.surface === "inner" ? -Math.min(r0, r1) : -Math.max(r0, r1)) + away;
    group.append(
      line(z0, -r0, z0, y + away / 4, "size"),
      line(z1, -r1, z1, y + away / 4, "size"),
      line(z0, y, z1, y, "size"),
      arrowHeads(X(z0), y, X(z1), y),
      sign((z0 + z1) / 2, y - 5 / scale, word(number(Math.abs(z1 - z0)))),
    );
  }
  const r = one.surface === "end" ? Math.max(r0, r1) : at[1];
  group.append(line(at[0], -r, at[0], r, "size"), arrowHeads(X(at[0]), -r, X(at[0]), r));
  group.append(sign(at[0], 0, word(`⌀ ${number(2 * r)}`, { x: 6, y: -6, "text-anchor": "start" })));
  signs.append(group);
}

const Z_STEP_PX = 14;
const Z_FAN_PX = 14;

// Diameters at their surfaces, lengths from the low end along the bottom; what would overlap waits
// until the drawing is closer.
function drawAllSizes(signs) {
  const group = svg("g", { class: "sizes" });
  const taken = [];
  let hidden = 0;
  const free = (x, y, w, h) => {
    const box = [x - w / 2, y - h, x + w / 2, y];
    if (taken.some((t) => t[0] < box[2] && box[0] < t[2] && t[1] < box[3] && box[1] < t[3])) return false;
    taken.push(box);
    return true;
  };
  const order = [...segments].sort((a, b) => segmentLength.get(b.id) - segmentLength.get(a.id));
  for (const one of order) {
    if (one.surface === "axis" || one.surface === "end") continue;
    const { at } = middle(one.id);
    const straight = one.kind === "line" && Math.abs(one.start[1] - one.end[1]) < 1e-6;
    const words = one.kind === "arc" ? `R${number(one.radius_mm)}` : straight ? `⌀${number(2 * at[1])}` : null;
    if (!words || !sees(X(at[0]), -at[1])) continue;
    const y = -at[1] + (one.surface === "inner" ? 14 : -5) / scale;
    if (free(X(at[0]), y, (7 * words.length + 4) / scale, 13 / scale)) {
      group.append(sign(at[0], y, word(words)));
    } else hidden++;
  }
  const heights = new Map([0, LENGTH].map((z) => [z.toFixed(4), [z, 0]]));
  for (const one of segments) for (const [z, r] of [one.start, one.end]) {
    heights.set(z.toFixed(4), [z, Math.max(r, (heights.get(z.toFixed(4)) || [0, 0])[1])]);
  }
  // each with a line straight down from the outline, aslant to where its number has room
  const bottom = Math.min(RADIUS + 10 / scale, view.y + view.h - (Z_FAN_PX + 52) / scale);
  const low = bottom + Z_FAN_PX / scale;
  const room = view.w * scale;
  // both ends first: they are the length
  const isEnd = (z) => Math.min(Math.abs(z), Math.abs(z - LENGTH)) < 1e-6;
  const seen = [...heights.values()].map(([z]) => z).filter((z) => sees(X(z), view.y)).sort((a, b) => isEnd(b) - isEnd(a) || a - b);
  const told = seen.slice(0, Math.floor(room / Z_STEP_PX) - 1).sort((a, b) => X(a) - X(b));
  hidden += seen.length - told.length;
  const half = Z_STEP_PX / 2;
  const places = spread(told.map((z) => (X(z) - view.x) * scale), told.slice(1).map(() => Z_STEP_PX), [half, half], 0, room);
  told.forEach((z, i) => {
    const [x, at] = [X(z), view.x + places[i] / scale];
    const r = Math.max(highest(z - 1e-4), highest(z + 1e-4));
    group.append(svg("path", { class: "size thin", d: `M${x} ${r}L${x} ${bottom}L${at} ${low}` }));
    group.append(svg("g", { transform: `translate(${at} ${low}) scale(${1 / scale})` },
      word(number(z), { transform: "rotate(-90)", "text-anchor": "end", x: -3, y: 4 })));
  });
  group.append(svg("g", { transform: `translate(${view.x} ${view.y + view.h}) scale(${1 / scale})` },
    word(`sizes in ${inch ? "inch" : "mm"}; z from the low end`, { "text-anchor": "start", x: 6, y: -6 })));
  signs.append(group);
  $("show-sizes").parentElement.title = hidden ? `${hidden} wait until the drawing is closer` : "";
}

function drawPicked(signs) {
  for (const id of picked.sizes || []) drawSizesOf(signs, id);
  if (!picked.box) return;
  const [z0, z1, r0, r1] = picked.box;
  if (Math.max(z1 - z0, r1 - r0) * scale < 26) {
    const ring = svg("circle", { class: `ring ${picked.level || ""}`, r: 16 });
    signs.append(sign((z0 + z1) / 2, -(r0 + r1) / 2, ring));
  }
}
