// The part in the round, by a small kept library (see library/README.md). Coloured by what is said
// of each face; where the solid is not at hand, the section turned about its axis.
const canvas = $("view");
const START = { yaw: -0.6, pitch: 0.42, away: 1 };
let round = null; // all that draws; null until it is seen, or where there is no WebGL
let looking = { ...START };

const VERTEX = `
attribute vec3 position; attribute vec3 normal; attribute vec3 tint;
uniform mat4 modelViewMatrix; uniform mat4 projectionMatrix; uniform mat3 normalMatrix; uniform float lift;
varying vec3 vAt; varying vec3 vNormal; varying vec3 vTint;
void main() {
  vAt = position; vNormal = normalize(normalMatrix * normal); vTint = tint;
  gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0);
  gl_Position.z -= lift * gl_Position.w;
}`;
const FRAGMENT = `
precision highp float;
varying vec3 vAt; varying vec3 vNormal; varying vec3 vTint;
uniform float open; uniform vec3 flesh; uniform float ink;
void main() {
  if (open > 0.5 && vAt.y > 0.0 && vAt.z > 0.0) discard;
  if (ink > 0.5) { gl_FragColor = vec4(vTint, 1.0); return; }
  if (!gl_FrontFacing && open > 0.5) {
    float stripe = step(0.5, fract((gl_FragCoord.x + gl_FragCoord.y) / 9.0));
    gl_FragColor = vec4(flesh * mix(0.82, 1.0, stripe), 1.0); return;
  }
  vec3 n = normalize(gl_FrontFacing ? vNormal : -vNormal);
  float light = 0.42 + 0.5 * max(dot(n, normalize(vec3(-0.35, 0.65, 0.7))), 0.0)
    + 0.14 * max(dot(n, normalize(vec3(0.8, -0.2, 0.3))), 0.0);
  gl_FragColor = vec4(vTint * light, 1.0);
}`;

async function unpacked(element) {
  const bytes = Uint8Array.from(atob(element.textContent), (c) => c.charCodeAt(0));
  const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("deflate"));
  return new Response(stream).arrayBuffer();
}

// Corners (mm), normals, face of each corner, triangles.
async function readModel() {
  const element = $("model");
  if (!element) return turnedModel();
  const gltf = OGL.GLTFLoader.unpackGLB(await unpacked(element));
  const body = gltf.buffers[0].binary;
  const primitive = gltf.meshes[0].primitives[0];
  const node = gltf.nodes[0];
  const KINDS = { 5120: Int8Array, 5123: Uint16Array, 5125: Uint32Array };
  const values = (index) => {
    const accessor = gltf.accessors[index];
    const view_ = gltf.bufferViews[accessor.bufferView];
    const kind = KINDS[accessor.componentType];
    const columns = accessor.type === "VEC3" ? 3 : 1;
    const start = (view_.byteOffset || 0) + (accessor.byteOffset || 0);
    if (!view_.byteStride) return new kind(body, start, accessor.count * columns);
    const whole = new kind(body, 0, Math.floor(body.byteLength / kind.BYTES_PER_ELEMENT));
    const [first, step] = [start, view_.byteStride].map((b) => b / kind.BYTES_PER_ELEMENT);
    const made = new kind(accessor.count * columns);
    for (let i = 0; i < accessor.count; i++) for (let c = 0; c < columns; c++) made[i * columns + c] = whole[first + i * step + c];
    return made;
  };
  const raw = values(primitive.attributes.POSITION);
  const points = Float32Array.from(raw, (v, i) => (v * node.scale[i % 3] + node.translation[i % 3]) * 1000);
  return {
    points, normals: Float32Array.from(values(primitive.attributes.NORMAL), (v) => v / 127),
    faces: values(primitive.attributes._FACE), index: Uint32Array.from(values(primitive.indices)), byFace: true,
  };
}

function turnedModel() {
  const STEPS = 72;
  const [points, normals, faces, index] = [[], [], [], []];
  segments.forEach((one, number_) => {
    if (one.surface === "axis") return;
    const line_ = lines.get(one.id);
    for (let i = 1; i < line_.length; i++) {
      const [[z0, r0], [z1, r1]] = [line_[i - 1], line_[i]];
      const step = Math.hypot(z1 - z0, r1 - r0) || 1;
      const [nz, nr] = [(r1 - r0) / step, -(z1 - z0) / step];
      const first = points.length / 3;
      for (let k = 0; k <= STEPS; k++) {
        const [c, s] = [Math.cos((2 * Math.PI * k) / STEPS), Math.sin((2 * Math.PI * k) / STEPS)];
        points.push(z0, r0 * c, r0 * s, z1, r1 * c, r1 * s);
        normals.push(nz, nr * c, nr * s, nz, nr * c, nr * s);
        faces.push(number_, number_);
        if (k) {
          const a = first + 2 * (k - 1);
          index.push(a, a + 2, a + 1, a + 1, a + 2, a + 3);
        }
      }
    }
  });
  return { points: Float32Array.from(points), normals: Float32Array.from(normals), faces: Uint16Array.from(faces), index: Uint32Array.from(index), byFace: false };
}

// Border lines of faces (edges of one triangle only, for faces share no corners), but not where the
// surface goes on smoothly: seams, and where many small faces follow one curve.
const SMOOTH = 0.93;
function borders({ index, points, normals, byFace }) {
  if (!byFace) return [];
  const seen = new Map();
  for (let t = 0; t < index.length; t += 3) {
    for (const [a, b] of [[0, 1], [1, 2], [2, 0]]) {
      const [i, k] = [index[t + a], index[t + b]];
      const key = i < k ? i * 4294967 + k : k * 4294967 + i;
      seen.set(key, seen.has(key) ? null : [i, k]);
    }
  }
  const name = (i) => [0, 1, 2].map((c) => points[3 * i + c].toFixed(3)).join();
  const alike = (i, k) => [0, 1, 2].reduce((sum, c) => sum + normals[3 * i + c] * normals[3 * k + c], 0) > SMOOTH;
  const kept = new Map();
  for (const edge of seen.values()) {
    if (!edge) continue;
    const [i, k] = name(edge[0]) < name(edge[1]) ? edge : [edge[1], edge[0]];
    const key = `${name(i)};${name(k)}`;
    const other = kept.get(key);
    kept.set(key, other && alike(i, other[0]) && alike(k, other[1]) ? null : [i, k]);
  }
  return [...kept.values()].filter(Boolean).flat();
}

const colourOf = (name) => {
  const made = document.createElement("canvas").getContext("2d");
  made.fillStyle = getComputedStyle(root).getPropertyValue(`--${name}`).trim() || "#888";
  made.fillRect(0, 0, 1, 1);
  return [...made.getImageData(0, 0, 1, 1).data.slice(0, 3)].map((v) => v / 255);
};

// Of the named segments those of which a place of this size is half or more; else the shortest.
// As `_marked.py` does it for drawing and annotated STEP: a corner colours no whole cylinder.
// What a nose radius alone leaves in a corner colours none instead.
function mostConcerned(ids, along, across, orShortest = true) {
  const known = ids.filter((id) => segmentLength.has(id));
  const size = Math.hypot(along, across);
  const most = known.filter((id) => size >= 0.5 * segmentLength.get(id));
  if (most.length || !known.length || !orShortest) return most;
  return [known.reduce((a, b) => (segmentLength.get(b) < segmentLength.get(a) ? b : a))];
}

function saidOfFaces() {
  const marks_ = new Map();
  const say_ = (faces, kind) => { for (const face of faces) marks_.set(face, kind); };
  const facesOf = (ids) => ids.flatMap((id) => segmentById.get(id)?.faces || []);
  const span = (values) => Math.max(...values) - Math.min(...values);
  const ofRegion = (left) => mostConcerned(left.segments, span(left.polygon.map((p) => p[0])),
    span(left.polygon.map((p) => p[1])), left.causes.join() !== "nose-radius");
  const ofFinding = ({ faces, segments: ids, z_mm: z, diameter_mm: d }) => {
    const along = facesOf(ids);
    const at = z && d ? mostConcerned(ids, z[1] - z[0], 0.5 * (d[1] - d[0])) : ids;
    return [...faces.filter((face) => !along.includes(face)), ...facesOf(at)];
  };
  for (const level of ["accepted", "note", "uncut", "warning", "error"]) {
    if (level === "uncut") for (const left of report.reach?.left || []) say_(facesOf(ofRegion(left)), "uncut");
    else for (const one of report.findings.filter((f) => groupOf(f) === level)) say_(ofFinding(one.where), level);
  }
  return marks_;
}

// Colours of all corners: what is picked, else what is said.
function markRound() {
  if (!round) return;
  const { model, geometry } = round;
  const tint = geometry.attributes.tint.data;
  const plain = colourOf("metal");
  const marks_ = saidOfFaces();
  const wanted = picked && (picked.faces.length || picked.segments?.length) ? new Set(picked.faces) : null;
  const on = colourOf({ error: "error", warning: "warning", note: "note", uncut: "uncut" }[picked?.level] || "reached");
  const cache = {};
  const colours = new Map();
  const choose = (face) => {
    const faces = model.byFace ? [face] : segments[face].faces;
    if (wanted) {
      const hit = model.byFace ? wanted.has(face)
        : picked.segments?.length ? picked.segments.includes(segments[face].id) : faces.some((f) => wanted.has(f));
      return hit ? on : plain;
    }
    const kind = faces.map((f) => marks_.get(f)).find(Boolean);
    return kind ? (cache[kind] ||= colourOf(kind)) : plain;
  };
  for (let i = 0; i < model.faces.length; i++) {
    const face = model.faces[i];
    if (!colours.has(face)) colours.set(face, choose(face));
    tint.set(colours.get(face), 3 * i);
  }
  geometry.attributes.tint.needsUpdate = true;
  const ink = colourOf("edge");
  for (let i = 0; i < (round.edgeTint?.length || 0); i += 3) round.edgeTint.set(ink, i);
  if (round.edges) round.edges.attributes.tint.needsUpdate = true;
  drawRound();
}

let starting = null; // once, whoever asks
const startRound = () => (starting ||= beginRound());

async function beginRound() {
  if (!canvas) return;
  let renderer;
  try {
    renderer = new OGL.Renderer({ canvas, dpr: Math.min(window.devicePixelRatio || 1, 2), alpha: true, antialias: true, webgl: 2, preserveDrawingBuffer: true });
    if (!renderer.gl) throw new Error("no WebGL");
  } catch {
    $("view-says").textContent = "This browser shows no WebGL, so there is no view in the round. The section above has it all.";
    return;
  }
  const { gl } = renderer;
  let model;
  try {
    model = await readModel();
  } catch {
    if (!profile) { $("view-says").textContent = "The solid in this page is damaged and cannot be shown."; return; }
    model = turnedModel();
  }
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  model.points.forEach((v, i) => { low[i % 3] = Math.min(low[i % 3], v); high[i % 3] = Math.max(high[i % 3], v); });
  const centre = low.map((v, c) => (v + high[c]) / 2);
  const reach = low.map((v, c) => (high[c] - v) / 2);
  const size = 2 * Math.hypot(...reach) || 1;
  // vertex shaders cut at the axis: only x is moved to the middle
  const uniforms = (ink) => ({ open: { value: 0 }, flesh: { value: [0.8, 0.8, 0.8] }, ink: { value: ink }, lift: { value: ink ? 0.0008 : 0 } });
  const program = new OGL.Program(gl, { vertex: VERTEX, fragment: FRAGMENT, uniforms: uniforms(0), cullFace: false });
  const tint = new Float32Array(model.points.length);
  const geometry = new OGL.Geometry(gl, {
    position: { size: 3, data: model.points }, normal: { size: 3, data: model.normals },
    tint: { size: 3, data: tint, usage: gl.DYNAMIC_DRAW }, index: { data: model.index },
  });
  const scene = new OGL.Transform();
  const body = new OGL.Transform();
  body.setParent(scene);
  const mesh = new OGL.Mesh(gl, { geometry, program, frustumCulled: false });
  mesh.setParent(body);
  mesh.position.set(-centre[0], -centre[1], -centre[2]);
  round = { renderer, scene, body, mesh, model, geometry, program, size, reach };
  const border = borders(model);
  if (border.length) {
    round.edgeTint = new Float32Array(model.points.length);
    round.edges = new OGL.Geometry(gl, {
      position: { size: 3, data: model.points }, normal: { size: 3, data: model.normals },
      tint: { size: 3, data: round.edgeTint, usage: gl.DYNAMIC_DRAW }, index: { data: Uint32Array.from(border) },
    });
    round.edgeProgram = new OGL.Program(gl, { vertex: VERTEX, fragment: FRAGMENT, uniforms: uniforms(1), cullFace: false });
    const edgeMesh = new OGL.Mesh(gl, { geometry: round.edges, program: round.edgeProgram, mode: gl.LINES, frustumCulled: false });
    edgeMesh.setParent(body);
    edgeMesh.position.copy(mesh.position);
  }
  round.camera = new OGL.Camera(gl, { near: 0.01 * size, far: 10 * size });
  round.camera.position.z = 3 * size;
  markRound();
  canvas.dataset.ready = "yes";
}

function drawRound(frame_ = null) {
  if (!round) return;
  const { renderer, scene, body, camera, size, reach, program, edgeProgram } = round;
  const [w, h] = frame_ || [canvas.parentElement.clientWidth, canvas.clientHeight || 360];
  if (w !== renderer.width || h !== renderer.height) { renderer.setSize(w, h); canvas.style.width = ""; canvas.style.height = ""; }
  // so large that it stays in its frame while it is turned left or right
  const flat = Math.hypot(reach[0], reach[2]);
  const tall = reach[1] * Math.cos(START.pitch) + flat * Math.sin(START.pitch);
  const wide = Math.max(w / h, 0.2);
  const y = 1.08 * Math.max(flat / wide, tall) * looking.away;
  const x = y * wide;
  camera.orthographic({ left: -x, right: x, bottom: -y, top: y, near: 0.01 * size, far: 10 * size });
  body.rotation.set(looking.pitch, looking.yaw, 0, "XYZ");
  const open = $("view-cut").checked ? 1 : 0;
  for (const one of [program, edgeProgram]) {
    if (!one) continue;
    one.uniforms.open.value = open;
    one.uniforms.flesh.value = colourOf("flesh");
  }
  renderer.render({ scene, camera });
}

// For paper the view is copied: what WebGL draws now is not there yet when the page is printed.
function printRound([w, h]) {
  if (!round) return;
  drawRound([w, h]);
  const copy = $("view-copy");
  copy.width = canvas.width;
  copy.height = canvas.height;
  copy.getContext("2d").drawImage(canvas, 0, 0);
}

function turnRound(yaw, pitch, away = 1) {
  looking.yaw += yaw;
  looking.pitch = Math.max(-1.57, Math.min(1.57, looking.pitch + pitch));
  looking.away = Math.max(0.05, Math.min(3, looking.away * away));
  drawRound();
}

// The face under a place of the canvas: the nearest triangle whose picture holds it.
function faceAt(x, y) {
  const { model, camera, mesh, scene } = round;
  scene.updateMatrixWorld();
  const m = new OGL.Mat4().multiply(camera.projectionMatrix, new OGL.Mat4().multiply(camera.viewMatrix, mesh.worldMatrix));
  const open = $("view-cut").checked;
  const [px, py] = [(2 * x) / canvas.clientWidth - 1, 1 - (2 * y) / canvas.clientHeight];
  const p = model.points;
  const put = (i) => [0, 1, 2].map((r) => m[r] * p[3 * i] + m[4 + r] * p[3 * i + 1] + m[8 + r] * p[3 * i + 2] + m[12 + r]);
  let best = null;
  for (let t = 0; t < model.index.length; t += 3) {
    const corner = [0, 1, 2].map((k) => model.index[t + k]);
    const [a, b, c] = corner.map(put);
    const area = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
    if (Math.abs(area) < 1e-12) continue;
    const u = ((b[0] - px) * (c[1] - py) - (b[1] - py) * (c[0] - px)) / area;
    const v = ((c[0] - px) * (a[1] - py) - (c[1] - py) * (a[0] - px)) / area;
    const w = 1 - u - v;
    if (u < 0 || v < 0 || w < 0) continue;
    const at = [1, 2].map((k) => u * p[3 * corner[0] + k] + v * p[3 * corner[1] + k] + w * p[3 * corner[2] + k]);
    if (open && at[0] > 0 && at[1] > 0) continue;
    const depth = u * a[2] + v * b[2] + w * c[2];
    if (!best || depth < best.depth) best = { depth, face: model.faces[corner[0]] };
  }
  return best ? best.face : null;
}

function pickFace(number_) {
  const segment = round.model.byFace ? null : segments[number_];
  const face = round.model.byFace ? report.faces.find((f) => f.index === number_) : null;
  const ids = segment ? [segment.id] : face?.segments || [];
  const about = report.findings.filter((f) => f.where.segments.some((id) => ids.includes(id)) || (face && f.where.faces.includes(face.index)));
  const named = report.departures.filter((d) => face && d.faces.includes(face.index)).map((d) => `${d.id} ${called(d)}`);
  const words = [face ? `Face ${face.index}${face.name ? ` (${face.name})` : ""}, ${face.role}` : "", ...ids.map((id) => sizeWords(segmentById.get(id))), ...named,
    about.length ? `see ${about.map((f) => f.id).join(", ")}` : ""].filter(Boolean).join("; ");
  clearPick();
  picked = { kind: "face", id: number_, segments: ids, sizes: ids.slice(0, 1), faces: face ? [face.index] : segment?.faces || [number_], level: "feature", box: boxOf(ids) };
  mark(ids, "on", "feature");
  if (drawing) drawSigns();
  say(`${words}.`);
  $("view-says").textContent = `${words}.`;
  markRound();
}
