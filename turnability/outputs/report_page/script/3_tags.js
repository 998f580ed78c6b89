// Signs over the section, each with a leader to what it names. In order of their places along the
// axis they take the rows in turn; a leader runs straight down between the signs of nearer rows,
// aslant below them, and straight down again, so that none crosses another or a sign.
// Where a finding's sign points: on its segments, as near its stated place as can be.
function anchorOf(where) {
  const named = where.segments.filter((id) => segmentById.has(id) && segmentById.get(id).surface !== "axis");
  const z = where.z_mm ? (where.z_mm[0] + where.z_mm[1]) / 2 : null;
  const r = where.diameter_mm ? (where.diameter_mm[0] + where.diameter_mm[1]) / 4 : null;
  if (named.length) {
    if (z === null) {
      const longest = named.reduce((a, b) => (segmentLength.get(b) > segmentLength.get(a) ? b : a));
      return middle(longest).at;
    }
    let best = null;
    for (const id of named) {
      const points = lines.get(id);
      for (let i = 1; i < points.length; i++) {
        for (let k = 0; k <= 10; k++) {
          const at = [0, 1].map((c) => points[i - 1][c] + (k / 10) * (points[i][c] - points[i - 1][c]));
          const off = Math.abs(at[0] - z) + 0.5 * Math.abs(at[1] - (r === null ? at[1] : r));
          if (!best || off < best.off) best = { off, at };
        }
      }
    }
    return best.at;
  }
  if (z === null) return null;
  // what is said of a whole stretch is shown on the part, not beside it
  const ends = [where.z_mm, where.diameter_mm].map((pair) => (pair ? pair[1] - pair[0] : 0));
  return [z, r === null ? highest(z) : Math.max(...ends) < 1e-3 ? r : Math.min(r, highest(z))];
}

function centreOf(polygon) {
  const [z, r] = [0, 1].map((c) => polygon.reduce((sum, p) => sum + p[c], 0) / polygon.length);
  return holds(polygon, [z, r]) ? [z, r] : polygon[0];
}

// What is left out first where there is no room for all: 0 first, the lists below have it all.
const RANK_OF = { feature: 0, note: 2, uncut: 3, warning: 4, error: 6 };
const BY_NOSE_ALONE = 1;
const FIRST_OF_ITS_RULE = 5;

function tags() {
  const found = [];
  const told = new Set();
  for (const one of report.findings) {
    const at = hiddenLevels.has(groupOf(one)) || weight(one) === "off" ? null : anchorOf(one.where);
    if (!at) continue;
    const [shape, rule] = [levelOf(one), `${one.rule} ${one.level}`];
    const rank = told.has(rule) ? RANK_OF[shape] : Math.max(RANK_OF[shape], FIRST_OF_ITS_RULE);
    told.add(rule);
    found.push({ kind: "finding", id: one.id, shape, rank, muted: groupOf(one) === "accepted", at });
  }
  for (const one of report.reach ? report.reach.left : []) {
    const rank = one.causes.join() === "nose-radius" ? BY_NOSE_ALONE : RANK_OF.uncut;
    found.push({ kind: "left", id: one.id, shape: "uncut", rank, at: centreOf(one.polygon) });
  }
  if ($("show-names").checked) {
    for (const one of report.features) {
      const at = anchorOf({ segments: one.segments, z_mm: null, diameter_mm: null });
      if (at) found.push({ kind: "feature", id: one.id, shape: "feature", rank: RANK_OF.feature, at, words: `${one.id} ${clean(one.kind)}` });
    }
  }
  return found;
}

const ROW_PX = 25;
const FAN_PX = 24;
const STEM_PX = 5;
const halfOf = (tag) => (tag.words ? 7 + 3.4 * tag.words.length : 26);
const tagsHeight = (rows) => ROW_PX * rows + FAN_PX + ($("show-sizes").checked ? 26 : 12);

// Least distances (px) between neighbours, whatever rows they are in: those of one row keep apart
// by their widths, a leader from a farther row keeps clear of the signs it passes.
function tagSteps(halves, rows) {
  const steps_ = new Array(Math.max(halves.length - 1, 0)).fill(0);
  for (let i = 0; i < halves.length; i++) {
    for (let j = i + 1; j <= Math.min(i + rows, halves.length - 1); j++) {
      const apart = j - i === rows ? halves[i] + halves[j] : halves[i % rows < j % rows ? i : j] + STEM_PX;
      for (let k = i; k < j; k++) steps_[k] = Math.max(steps_[k], apart / (j - i));
    }
  }
  return steps_;
}

const tagsWidth = (halves, rows) => tagSteps(halves, rows).reduce((sum, step) => sum + step, 0)
  + (halves.length ? halves[0] + halves[halves.length - 1] : 0);

// The fewest rows that keep the signs about over the part, drawn so long in a frame so wide. Rows
// that bring them no closer are of no use: leaders want their room between the signs as well.
function tagRows(named, long, wide) {
  const halves = named.map(halfOf);
  const over = Math.min(wide, Math.max(1.6 * long, 560));
  let rows = 1;
  while (tagsWidth(halves, rows) > over && tagsWidth(halves, rows + 1) < tagsWidth(halves, rows) - 1) rows++;
  return rows;
}

// Places as near as can be to where they are wished, in order and with at least these steps
// between; `ends` is what the first and the last need to either edge.
function spread(wishes, steps_, ends, low, high) {
  const groups = [];
  const settle = (group) => {
    const wish = group.items.reduce((sum, i, k) => sum + wishes[i] - group.offsets[k], 0) / group.items.length;
    const last = group.offsets[group.offsets.length - 1];
    group.at = Math.max(low + ends[0], Math.min(wish, high - ends[1] - last));
    return group;
  };
  wishes.forEach((_, i) => {
    let group = settle({ items: [i], offsets: [0] });
    while (groups.length) {
      const before = groups[groups.length - 1];
      const reach = before.offsets[before.offsets.length - 1] + steps_[group.items[0] - 1];
      if (before.at + reach <= group.at + 1e-9) break;
      groups.pop();
      group = settle({ items: [...before.items, ...group.items], offsets: [...before.offsets, ...group.offsets.map((o) => reach + o)] });
    }
    groups.push(group);
  });
  return groups.flatMap((group) => group.offsets.map((offset) => group.at + offset));
}

function drawTags(signs) {
  const group = svg("g", { class: "tags" });
  const leaders = svg("g", {});
  let order = tags().filter((tag) => sees(X(tag.at[0]), -tag.at[1]));
  order.sort((a, b) => X(a.at[0]) - X(b.at[0]) || b.at[1] - a.at[1]);
  const [wide, long] = [view.w * scale, LENGTH * scale];
  let rows = tagRows(order, long, wide);
  while (order.length && tagsWidth(order.map(halfOf), rows) > wide) {
    // of the least that one which stands closest between its neighbours
    const least = Math.min(...order.map((tag) => tag.rank));
    const room = (i) => (order[i + 1]?.at[0] ?? Infinity) - (order[i - 1]?.at[0] ?? -Infinity);
    const crowded = (i) => Math.abs(room(i));
    const these = order.map((_, i) => i).filter((i) => order[i].rank === least);
    const at = these.reduce((a, b) => (crowded(b) < crowded(a) ? b : a));
    order = order.filter((_, i) => i !== at);
    rows = tagRows(order, long, wide);
  }
  const gap = $("show-sizes").checked ? 24 : 8;
  const knee = Math.max(-RADIUS - content.above / scale - gap / scale, view.y + (ROW_PX * rows + FAN_PX + 2) / scale);
  const fan = knee - FAN_PX / scale;
  const halves = order.map(halfOf);
  const places = spread(order.map((tag) => (X(tag.at[0]) - view.x) * scale), tagSteps(halves, rows),
    [halves[0], halves[halves.length - 1]], 0, wide);
  order.forEach((tag, i) => {
    const x = view.x + places[i] / scale;
    const y = fan - (12 + (i % rows) * ROW_PX) / scale;
    const [ax, ay] = [X(tag.at[0]), -tag.at[1]];
    leaders.append(
      svg("path", { class: "leader", d: `M${x} ${y}L${x} ${fan}L${ax} ${knee}L${ax} ${ay}` }),
      svg("circle", { class: "leader-end", cx: ax, cy: ay, r: 2.5 / scale }),
    );
    group.append(drawTag(tag, x, y));
  });
  signs.append(leaders, group);
}

function drawTag(tag, x, y) {
  const width = tag.words ? 4 + 3.3 * tag.words.length : 0;
  const shape = width ? `M${-width} -9H${width}V9H${-width}Z` : SHAPES[tag.shape];
  const own = svg("g", { transform: `translate(${x} ${y}) scale(${1 / scale})`,
    class: `tag ${tag.shape}${tag.muted ? " accepted" : ""}${picked && picked.id === tag.id ? " on" : ""}` }, svg("path", { d: shape }));
  const words = svg("text", { "text-anchor": "middle", y: tag.shape === "warning" ? 7 : 4 });
  words.textContent = tag.words || tag.id;
  own.append(words);
  own.addEventListener("click", () => pickById(tag.kind, tag.id));
  return own;
}
