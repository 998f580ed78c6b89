// The profile as polygons, and whether an outline enters it. Lengths in mm, points [z, r].
const TOUCH_MM = 0.0015;
const TURN = Math.PI / 60;
const profile = report.profile;
const segments = profile ? profile.loops.flatMap((loop) => loop.segments) : [];
const segmentById = new Map(segments.map((one) => [one.id, one]));
const LENGTH = profile ? profile.length_mm : 1;
const RADIUS = profile ? profile.max_diameter_mm / 2 : 1;

function polyline(one) {
  if (one.kind === "spline") return one.points;
  if (one.kind !== "arc") return [one.start, one.end];
  const [cz, cr] = one.centre;
  const angle = ([z, r]) => Math.atan2(r - cr, z - cz);
  const from = angle(one.start);
  let sweep = angle(one.end) - from;
  if (one.clockwise && sweep >= 0) sweep -= 2 * Math.PI;
  if (!one.clockwise && sweep <= 0) sweep += 2 * Math.PI;
  const steps = Math.max(2, Math.ceil(Math.abs(sweep) / TURN));
  const points = [one.start];
  for (let k = 1; k < steps; k++) {
    const a = from + (sweep * k) / steps;
    points.push([cz + one.radius_mm * Math.cos(a), cr + one.radius_mm * Math.sin(a)]);
  }
  return [...points, one.end];
}

const along = (points) => {
  let total = 0;
  for (let i = 1; i < points.length; i++) {
    total += Math.hypot(points[i][0] - points[i - 1][0], points[i][1] - points[i - 1][1]);
  }
  return total;
};
const lines = new Map(segments.map((one) => [one.id, polyline(one)]));
const segmentLength = new Map(segments.map((one) => [one.id, along(lines.get(one.id))]));

// The point half way along a segment, and the direction there.
function middle(id) {
  const points = lines.get(id);
  let rest = segmentLength.get(id) / 2;
  for (let i = 1; i < points.length; i++) {
    const [a, b] = [points[i - 1], points[i]];
    const step = Math.hypot(b[0] - a[0], b[1] - a[1]);
    if (rest <= step || i === points.length - 1) {
      const t = step ? rest / step : 0;
      const d = step ? [(b[0] - a[0]) / step, (b[1] - a[1]) / step] : [1, 0];
      return { at: [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])], direction: d };
    }
    rest -= step;
  }
  return { at: points[0], direction: [1, 0] };
}

const ringOf = (loop) => loop.segments.flatMap((one) => lines.get(one.id).slice(0, -1));
const outline = profile ? ringOf(profile.loops[0]) : [];
const bothSides = [outline, outline.map(([z, r]) => [z, -r])];

function holds(ring, [z, r]) {
  let within = false;
  for (let i = 0, k = ring.length - 1; i < ring.length; k = i++) {
    const [[a, b], [c, d]] = [ring[i], ring[k]];
    if (b > r !== d > r && z < ((c - a) * (r - b)) / (d - b) + a) within = !within;
  }
  return within;
}

function distance(ring, [z, r]) {
  let best = Infinity;
  for (let i = 0, k = ring.length - 1; i < ring.length; k = i++) {
    const [[a, b], [c, d]] = [ring[k], ring[i]];
    const square = (c - a) ** 2 + (d - b) ** 2;
    const t = square ? Math.max(0, Math.min(1, ((z - a) * (c - a) + (r - b) * (d - b)) / square)) : 0;
    best = Math.min(best, Math.hypot(a + t * (c - a) - z, b + t * (d - b) - r));
  }
  return best;
}

const isDeep = (ring, point) => holds(ring, point) && distance(ring, point) > TOUCH_MM;

// Points of the one's edges that lie in the other by more than touching.
function pointsWithin(ring, other) {
  const found = [];
  for (let i = 0, k = ring.length - 1; i < ring.length; k = i++) {
    const [p, q] = [ring[k], ring[i]];
    const cuts = [0, 1];
    for (let j = 0, m = other.length - 1; j < other.length; m = j++) {
      const [a, b] = [other[m], other[j]];
      const under = (q[0] - p[0]) * (b[1] - a[1]) - (q[1] - p[1]) * (b[0] - a[0]);
      if (Math.abs(under) < 1e-12) continue;
      const t = ((a[0] - p[0]) * (b[1] - a[1]) - (a[1] - p[1]) * (b[0] - a[0])) / under;
      const s = ((a[0] - p[0]) * (q[1] - p[1]) - (a[1] - p[1]) * (q[0] - p[0])) / under;
      if (t > 0 && t < 1 && s >= 0 && s <= 1) cuts.push(t);
    }
    cuts.sort((x, y) => x - y);
    const at = (t) => [p[0] + t * (q[0] - p[0]), p[1] + t * (q[1] - p[1])];
    for (const t of cuts) if (isDeep(other, at(t))) found.push(at(t));
    for (let c = 1; c < cuts.length; c++) {
      const half = at((cuts[c - 1] + cuts[c]) / 2);
      if (isDeep(other, half)) found.push(half);
    }
  }
  return found;
}

// The z range over which rings enter the part on either side of the axis; null where they do not.
function entered(rings) {
  const found = [];
  for (const ring of rings) {
    for (const part of bothSides) {
      found.push(...pointsWithin(ring, part), ...pointsWithin(part, ring));
    }
  }
  if (!found.length) return null;
  const zs = found.map(([z]) => z);
  return [Math.min(...zs), Math.max(...zs)];
}

// How high the outside stands at a z.
function highest(z) {
  let best = 0;
  for (let i = 0, k = outline.length - 1; i < outline.length; k = i++) {
    const [[a, b], [c, d]] = [outline[k], outline[i]];
    if ((a <= z && z <= c) || (c <= z && z <= a)) {
      best = Math.max(best, a === c ? Math.max(b, d) : b + ((z - a) / (c - a)) * (d - b));
    }
  }
  return best;
}
