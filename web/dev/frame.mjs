// A small invented frame, drawn well enough to try the page without the server. Lengths in m.

const S = {
  rail: { round: false, width: 0.04, height: 0.06, words: "box 40 × 60 × 3, S355", wall: 0.003 },
  hoop: { round: true, od: 0.045, words: "round 45 × 2.5, E355", wall: 0.0025 },
  stay: { round: true, od: 0.032, words: "round 32 × 2, E355", wall: 0.002 },
  light: { round: true, od: 0.025, words: "round 25 × 1.5, E235", wall: 0.0015 },
};

/** The document that the mock changes. */
export function firstModel() {
  const points = {
    rail_front: [1.15, 0.3, 0], rail_rear: [-1.0, 0.3, 0],
    hoop_foot: [-0.35, 0.3, 0], hoop_shoulder: [-0.38, 0.42, 0.62], hoop_top: [-0.42, 0.2, 1.08],
    dash_foot: [0.5, 0.3, 0], dash_shoulder: [0.46, 0.36, 0.5], dash_top: [0.4, 0.22, 0.66],
    nose_low: [1.15, 0.22, 0.06], nose_high: [1.1, 0.2, 0.36],
    tail_high: [-0.95, 0.26, 0.46], tail_low: [-1.0, 0.3, 0.02],
    waist: [0.05, 0.41, 0.34], mid_foot: [0.05, 0.3, 0],
    shoulder_bar: [-0.38, 0.3, 0.62], belly: [0.05, 0.3, 0.0], front_cross: [0.85, 0.3, 0],
  };
  const on = { hoop_foot: "rail", dash_foot: "rail", mid_foot: "rail", belly: "rail", front_cross: "rail", shoulder_bar: "main_hoop" };
  const t = (name, section, path, more = {}) => ({ name, section, path, mirror: false, bend: [], state: "permanent", ...more });
  const m = { mirror: true };
  const tubes = [
    t("rail", "rail", ["rail_front", "rail_rear"], m),
    t("cross_front", "rail", ["rail_front", "rail_front~"]),
    t("cross_mid", "stay", ["belly", "belly~"]),
    t("cross_dash", "stay", ["dash_foot", "dash_foot~"]),
    t("cross_hoop", "stay", ["hoop_foot", "hoop_foot~"]),
    t("cross_rear", "rail", ["rail_rear", "rail_rear~"]),
    t("main_hoop", "hoop", ["hoop_foot", "hoop_shoulder", "hoop_top", "hoop_top~", "hoop_shoulder~", "hoop_foot~"], { bend: [0.135] }),
    t("dash_hoop", "hoop", ["dash_foot", "dash_shoulder", "dash_top", "dash_top~", "dash_shoulder~", "dash_foot~"], { bend: [0.135] }),
    t("shoulder_tube", "stay", ["shoulder_bar", "shoulder_bar~"]),
    t("roof", "stay", ["hoop_top", "dash_top"], m),
    t("side_upper", "stay", ["hoop_shoulder", "waist", "dash_shoulder"], { ...m, bend: [0.12] }),
    t("side_post", "light", ["mid_foot", "waist"], m),
    t("side_brace", "light", ["hoop_foot", "waist"], m),
    t("side_front", "light", ["waist", "dash_foot"], m),
    t("nose_post", "stay", ["rail_front", "nose_high"], m),
    t("nose_bar", "stay", ["nose_high", "nose_high~"]),
    t("upper_stay", "stay", ["dash_shoulder", "nose_high"], m),
    t("lower_stay", "light", ["dash_foot", "nose_high"], m),
    t("nose_diag", "light", ["rail_front", "nose_high~"]),
    t("rear_stay", "stay", ["hoop_top", "tail_high"], m),
    t("tail_post", "stay", ["rail_rear", "tail_high"], m),
    t("tail_bar", "stay", ["tail_high", "tail_high~"]),
    t("engine_rail", "stay", ["hoop_shoulder", "tail_high"], m),
    t("engine_brace", "light", ["hoop_foot", "tail_high"], m),
    t("hoop_diag", "stay", ["hoop_foot", "hoop_shoulder~"]),
    t("floor_diag", "light", ["belly", "dash_foot~"]),
    t("roof_diag", "light", ["hoop_top", "dash_top~"], { state: "provisional" }),
    t("jig_bar", "light", ["front_cross", "front_cross~"], { state: "temporary" }),
  ];
  return { points, on, tubes };
}

/** Many bays of the same, to try how quick the page is. */
export function largeModel(count) {
  const model = { points: {}, on: {}, tubes: [] };
  for (let i = 0; model.tubes.length < count; i++) {
    const x = i * 0.3;
    model.points[`a${i}`] = [x, 0.3, 0];
    model.points[`b${i}`] = [x, 0.3, 0.5 + 0.2 * Math.sin(i)];
    const add = (name, path) => model.tubes.push({ name, section: "stay", path, mirror: false, bend: [], state: "permanent" });
    add(`post_${i}`, [`a${i}`, `b${i}`]);
    add(`post_r_${i}`, [`a${i}~`, `b${i}~`]);
    add(`cross_${i}`, [`a${i}`, `a${i}~`]);
    add(`over_${i}`, [`b${i}`, `b${i}~`]);
    if (i === 0) continue;
    add(`low_${i}`, [`a${i - 1}`, `a${i}`]);
    add(`low_r_${i}`, [`a${i - 1}~`, `a${i}~`]);
    add(`high_${i}`, [`b${i - 1}`, `b${i}`]);
    add(`diag_${i}`, [`a${i - 1}`, `b${i}`]);
  }
  return model;
}

const add = (a, b) => a.map((v, i) => v + b[i]);
const sub = (a, b) => a.map((v, i) => v - b[i]);
const mul = (a, k) => a.map((v) => v * k);
const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
const cross = (a, b) => [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
const len = (a) => Math.hypot(...a);
const unit = (a) => mul(a, 1 / (len(a) || 1));

const twin = (name) => (name.endsWith("~") ? name.slice(0, -1) : `${name}~`);

export function at(model, name) {
  const own = model.points[name];
  if (own) return own;
  const other = model.points[twin(name)];
  return other ? [other[0], -other[1], other[2]] : [0, 0, 0];
}

/** The centreline with its bends as short chords. */
function centreline(places, radii) {
  const out = [places[0]];
  for (let i = 1; i + 1 < places.length; i++) {
    const radius = radii.length > 1 ? radii[i - 1] : radii[0];
    const [a, b, c] = [places[i - 1], places[i], places[i + 1]];
    const u = unit(sub(a, b));
    const v = unit(sub(c, b));
    const turn = Math.PI - Math.acos(Math.max(-1, Math.min(1, dot(u, v))));
    if (!radius || turn < 1e-3) {
      out.push(b);
      continue;
    }
    const back = Math.min(radius * Math.tan(turn / 2), len(sub(a, b)) * 0.49, len(sub(c, b)) * 0.49);
    const r = back / Math.tan(turn / 2);
    const centre = add(b, mul(unit(add(u, v)), r / Math.cos(turn / 2)));
    const s = sub(add(b, mul(u, back)), centre);
    const axis = unit(cross(s, sub(add(b, mul(v, back)), centre)));
    const steps = Math.max(3, Math.ceil(turn / 0.12));
    for (let k = 0; k <= steps; k++) {
      const f = (turn * k) / steps;
      out.push(add(centre, add(mul(s, Math.cos(f)), mul(cross(axis, s), Math.sin(f)))));
    }
  }
  out.push(places.at(-1));
  return out;
}

/** A pipe round a centreline, closed at both ends. */
function pipe(line, section) {
  const outline = [];
  if (section.round) for (let k = 0; k < 20; k++) outline.push([Math.cos((k * Math.PI) / 10) * section.od / 2, Math.sin((k * Math.PI) / 10) * section.od / 2]);
  else {
    const [w, h, r] = [section.width / 2, section.height / 2, 0.006];
    for (const [sx, sy, from] of [[1, 1, 0], [-1, 1, 1], [-1, -1, 2], [1, -1, 3]])
      for (let k = 0; k <= 4; k++) {
        const f = ((from + k / 4) * Math.PI) / 2;
        outline.push([sx * (w - r) + r * Math.cos(f), sy * (h - r) + r * Math.sin(f)]);
      }
  }
  const n = outline.length;
  const points = [];
  const triangles = [];
  let side = null;
  line.forEach((p, i) => {
    const t = unit(add(i > 0 ? unit(sub(p, line[i - 1])) : [0, 0, 0], i + 1 < line.length ? unit(sub(line[i + 1], p)) : [0, 0, 0]));
    if (!side) side = unit(cross(Math.abs(t[2]) > 0.9 ? [1, 0, 0] : [0, 0, 1], t));
    side = unit(sub(side, mul(t, dot(side, t))));
    const up = cross(t, side);
    for (const [a, b] of outline) points.push(...add(p, add(mul(side, a), mul(up, b))));
  });
  for (let i = 0; i + 1 < line.length; i++)
    for (let k = 0; k < n; k++) {
      const [a, b, c, d] = [i * n + k, i * n + ((k + 1) % n), (i + 1) * n + ((k + 1) % n), (i + 1) * n + k];
      triangles.push(a, b, c, a, c, d);
    }
  for (const [ring, flip] of [[0, true], [line.length - 1, false]]) {
    const middle = points.length / 3;
    points.push(...line[ring]);
    for (let k = 0; k < n; k++) {
      const [a, b] = [ring * n + k, ring * n + ((k + 1) % n)];
      triangles.push(...(flip ? [middle, b, a] : [middle, a, b]));
    }
  }
  return { points, triangles };
}

const hash = (values) => {
  let h = 2166136261;
  for (const v of new Uint8Array(new Float32Array(values).buffer)) h = Math.imul(h ^ v, 16777619);
  return (h >>> 0).toString(36);
};

function expand(model) {
  const out = [];
  for (const tube of model.tubes) {
    out.push({ ...tube, twin: false });
    if (tube.mirror) out.push({ ...tube, name: `${tube.name}~`, path: tube.path.map(twin), twin: true });
  }
  return out;
}

/** Rows and meshes of what the model says. */
export function drawn(model) {
  const all = expand(model);
  const through = {};
  for (const tube of all) for (const p of tube.path) (through[p] ??= []).push(tube.name);
  const points = [];
  for (const name of Object.keys(model.points)) {
    const here = model.points[name];
    const on = model.on[name] ?? null;
    const row = { along: on ? "start" : null, placed: on ? `on ${on}` : "at coordinates", free: !on };
    points.push({ name, at: here, ...row, on, tubes: through[name] ?? [], twin: false });
    if (Math.abs(here[1]) > 1e-9)
      points.push({ name: `${name}~`, at: at(model, `${name}~`), ...row, on: on && `${on}~`, tubes: through[`${name}~`] ?? [], twin: true });
  }
  let kg = 0;
  const bodies = [];
  const tubes = all.map((tube, i) => {
    const line = centreline(tube.path.map((p) => at(model, p)), tube.bend);
    const section = S[tube.section] ?? S.stay;
    let long = 0;
    for (let k = 0; k + 1 < line.length; k++) long += len(sub(line[k], line[k + 1]));
    const area = section.round ? Math.PI * (section.od - section.wall) * section.wall : 2 * (section.width + section.height) * section.wall;
    const mass = area * long * 7850;
    kg += mass;
    const mesh = pipe(line, section);
    bodies.push({ name: tube.name, kind: tube.state === "permanent" ? "tube" : tube.state, key: `${tube.name} ${hash(mesh.points)}`, mesh });
    return {
      name: tube.name, number: i + 1, section: tube.section, path: tube.path, bend_radius: tube.bend, state: tube.state,
      mirrored: tube.mirror, twin: tube.twin, length: `${(long * 1000 - 9).toFixed(1)} mm`, mass: `${mass.toFixed(2)} kg`, line,
    };
  });
  const sections = Object.entries(S).map(([name, s]) => ({ name, words: s.words }));
  return { points, tubes, bodies, sections, kg };
}

export const solids = [
  ...[[0.95, 0.62, 0.18], [-0.82, 0.62, 0.2]].flatMap(([x, y, z], i) =>
    [1, -1].map((s) => ({
      name: `${i ? "rear" : "front"}${s < 0 ? "~" : ""}`, kind: "wheel",
      shape: { shape: "disc", centre: [x, s * y, z], axis: [0, s, 0], radius: i ? 0.31 : 0.29, width: i ? 0.24 : 0.19 },
    }))),
  ...[
    { shape: "ball", centre: [-0.22, 0, 0.82], radius: 0.15 },
    { shape: "capsule", ends: [[-0.2, 0, 0.6], [-0.02, 0, 0.16]], radius: 0.14 },
    ...[0.09, -0.09].flatMap((y) => [
      { shape: "capsule", ends: [[0, y, 0.14], [0.42, y, 0.3]], radius: 0.075 },
      { shape: "capsule", ends: [[0.42, y, 0.3], [0.82, y, 0.12]], radius: 0.055 },
    ]),
  ].map((shape) => ({ name: "driver", kind: "person", shape })),
  { name: "engine", kind: "mass", shape: { shape: "block", centre: [-0.66, 0, 0.24], axes: [[1, 0, 0], [0, 1, 0], [0, 0, 1]], half: [0.2, 0.18, 0.2] } },
];

export const grounds = [
  { stance: "laden", normal: [0.012, 0, Math.sqrt(1 - 0.012 ** 2)], height: -0.112 },
  { stance: "bare", normal: [0, 0, 1], height: -0.16 },
];
