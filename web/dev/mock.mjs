// Serves dist with an invented frame, for working on the page without the server: npm run mock [-- port tubes]
// It keeps nothing, and works nothing out: it only says things in the right form.

import { createServer } from "node:http";
import { readFile } from "node:fs/promises";
import { extname, join, normalize } from "node:path";
import { fileURLToPath } from "node:url";
import { WebSocketServer } from "ws";
import { cards, method, moved, pages, stock, unrolled } from "./answers.mjs";
import { at, drawn, firstModel, grounds, largeModel, solids } from "./frame.mjs";

const port = Number(process.argv[2] ?? 4180);
const many = Number(process.argv[3] ?? 0);
const dist = fileURLToPath(new URL("../dist/", import.meta.url));

let saved = { saved: "written" };
const states = [{ model: many ? largeModel(many) : firstModel(), what: "opened sorrel.toml", who: "", when: Date.now() - 3600e3 }];
let now = 0;
let top = 0;
const events = [];
const page = { running: null };

const twinless = (name) => name.replace(/~$/, "");

/** The model after edits, or what is wrong with them. */
function edited(model, edits) {
  const next = structuredClone(model);
  const tube = (name) => {
    const found = next.tubes.find((t) => t.name === twinless(name));
    if (!found) throw new Error(`there is no tube ${name}`);
    return found;
  };
  for (const e of edits) {
    if (e.edit === "set_point" || e.edit === "add_point") {
      const flip = e.point.endsWith("~") ? -1 : 1;
      next.points[twinless(e.point)] = [e.at[0], flip * e.at[1], e.at[2]];
      delete next.on[twinless(e.point)];
    } else if (e.edit === "remove_point") {
      delete next.points[twinless(e.point)];
      for (const t of next.tubes) t.path = t.path.filter((p) => twinless(p) !== twinless(e.point));
    } else if (e.edit === "rename_point") {
      next.points[e.to] = next.points[e.point];
      delete next.points[e.point];
      for (const t of next.tubes) t.path = t.path.map((p) => (twinless(p) === e.point ? p.replace(e.point, e.to) : p));
    } else if (e.edit === "add_tube") {
      const t = { name: e.tube, section: e.section, path: e.path, mirror: false, bend: [], state: "permanent" };
      const k = e.before == null ? -1 : next.tubes.findIndex((o) => o.name === twinless(e.before));
      if (k < 0) next.tubes.push(t);
      else next.tubes.splice(k, 0, t);
    } else if (e.edit === "remove_tube") {
      next.tubes = next.tubes.filter((t) => t !== tube(e.tube));
    } else if (e.edit === "rename_tube") {
      tube(e.tube).name = e.to;
    } else if (e.edit === "move_tube") {
      const t = tube(e.tube);
      next.tubes = next.tubes.filter((o) => o !== t);
      const k = e.before == null ? next.tubes.length : next.tubes.findIndex((o) => o.name === twinless(e.before));
      next.tubes.splice(k, 0, t);
    } else if (e.edit === "set_provisional") {
      tube(e.tube).state = e.provisional ? "provisional" : "permanent";
    } else if (e.edit === "set_key" && e.table === "tube") {
      const t = tube(e.name);
      const value = Object.values(e.value)[0];
      if (e.key[0] === "section") t.section = value;
      if (e.key[0] === "bend_radius") t.bend = [value].flat();
      if (e.key[0] === "mirror") t.mirror = value;
      if (e.key[0] === "path") t.path = value;
    } else throw new Error(`the mock can't do ${e.edit}`);
  }
  for (const t of next.tubes) {
    for (let i = 0; i + 1 < t.path.length; i++) {
      const d = Math.hypot(...at(next, t.path[i]).map((v, k) => v - at(next, t.path[i + 1])[k]));
      if (d < 0.02) throw new Error(`tube ${t.name} has two points of its path in one place: ${t.path[i]} and ${t.path[i + 1]}`);
    }
    if (t.path.length > 2 && t.bend.length === 0) t.bend = [0.1];
  }
  return next;
}

function viewOf(model, trial) {
  const made = drawn(model);
  const view = {
    told: "view", state: now, trial, file: "sorrel.toml", name: "Sorrel", unit: "mm", unit_size: 0.001, step: 0.0005, saved,
    sheet: { file: "sorrel.measured.toml", is: "none", laid: 0, problems: [] },
    undo: now, undo_what: now ? states[now].what : "", redo: top - now,
    facts: ["trials car for one", `${made.tubes.length} tubes`, `${made.kg.toFixed(1)} kg`, "laden stance"], problems: [],
    points: made.points, tubes: made.tubes, curves: [], sections: made.sections, bodies: [], solids: many ? [] : solids, grounds, datum: -0.03, datum_words: "under rail",
  };
  view.pages = pages({ ...view, kg: made.kg });
  return { view, bodies: made.bodies };
}

/** The message, with the numbers of those bodies that the page has not. */
function message({ view, bodies }, known) {
  let start = 0;
  const parts = [];
  const heads = bodies.map(({ name, kind, key, mesh }) => {
    if (known.has(key)) return { name, kind, key, sent: null };
    const points = Buffer.from(new Float32Array(mesh.points).buffer);
    const triangles = Buffer.from(new Uint32Array(mesh.triangles).buffer);
    parts.push(points, triangles);
    const sent = { start, points: mesh.points.length / 3, triangles: mesh.triangles.length / 3 };
    start += points.length + triangles.length;
    return { name, kind, key, sent };
  });
  known.clear();
  for (const { key } of bodies) known.add(key);
  let json = Buffer.from(JSON.stringify({ ...view, bodies: heads }));
  if (json.length % 4) json = Buffer.concat([json, Buffer.alloc(4 - (json.length % 4), 32)]);
  const long = Buffer.alloc(4);
  long.writeUInt32LE(json.length);
  return Buffer.concat([long, json, ...parts]);
}

const clients = new Set();
const say = (client, told) => client.socket.send(JSON.stringify(told));
const show = (client) => client.socket.send(message(viewOf(states[now].model, null), client.known));
const showAll = () => clients.forEach(show);

function become(model, what, who) {
  states.length = now + 1;
  states.push({ model, what, who, when: Date.now() });
  now = top = states.length - 1;
}

const refused = (error) => [{ what: error.message, line: null, text: "", help: "move one of them, or take it out" }];

function hear(client, ask) {
  const go = (to) => {
    if (to < 0 || to >= states.length) return say(client, { told: "refused", id: ask.id, problems: refused(new Error("there is no such state")) });
    now = to;
    say(client, { told: "done", id: ask.id });
    showAll();
  };
  if (ask.ask === "try" || ask.ask === "do") {
    let model;
    try {
      model = edited(states[now].model, ask.edits);
    } catch (error) {
      return say(client, { told: "refused", id: ask.id, problems: refused(error) });
    }
    if (ask.ask === "try") return client.socket.send(message(viewOf(model, ask.id), client.known));
    become(model, ask.what, ask.who);
    say(client, { told: "done", id: ask.id });
    showAll();
  } else if (ask.ask === "let_go") show(client);
  else if (ask.ask === "undo") go(now - 1);
  else if (ask.ask === "redo") go(now + 1);
  else if (ask.ask === "go_to") go(ask.state);
  else if (ask.ask === "start") {
    let part = 0;
    page.running = setInterval(() => {
      part += 0.1;
      if (part < 1) return say(client, { told: "running", run: ask.run, part });
      clearInterval(page.running);
      say(client, { told: "ended", run: ask.run, why: null });
    }, 300);
  } else if (ask.ask === "stop") {
    clearInterval(page.running);
    say(client, { told: "ended", run: ask.run, why: "it was stopped" });
  }
}

const body = (request) => new Promise((done) => {
  let text = "";
  request.on("data", (d) => (text += d));
  request.on("end", () => done(text));
});

const TYPES = { ".html": "text/html; charset=utf-8", ".js": "text/javascript", ".css": "text/css", ".woff2": "font/woff2", ".svg": "image/svg+xml" };
const POLICY = "default-src 'self'; style-src 'self' 'unsafe-inline'; connect-src 'self' ws:";

const server = createServer(async (request, response) => {
  const url = new URL(request.url, "http://here");
  const send = (code, type, data) => response.writeHead(code, { "content-type": type, "content-security-policy": POLICY }).end(data);
  const json = (data) => send(200, "application/json", JSON.stringify(data));
  const view = () => viewOf(states[now].model, null).view;
  const [, first, second, third] = url.pathname.split("/").map(decodeURIComponent);
  // For trying the states: /mock/saved with the JSON of one.
  if (first === "mock" && second === "saved") {
    saved = JSON.parse(await body(request));
    showAll();
    return json({});
  }
  if (first === "api") {
    if (second === "pieces") return json(cards(view()));
    if (second === "shop" && request.method === "POST") {
      const ask = JSON.parse(await body(request));
      const known = new Set(events.map((e) => e.id));
      const fresh = [...(ask.ticks ?? []).map((t) => ({ event: "tick", ...t })), ...(ask.measured ?? []).map((m) => ({ event: "measured", ...m })), ...(ask.used ?? []).map((u) => ({ event: "used", ...u }))].filter((e) => !known.has(e.id));
      events.push(...fresh);
      const news = { number: events.length, events: fresh, refused: [] };
      if (fresh.length) clients.forEach((c) => say(c, { told: "shop", ...news }));
      return json(news);
    }
    if (second === "shop") return json({ number: events.length, events: events.slice(Number(url.searchParams.get("since") ?? 0)), refused: [] });
    if (second === "method") return send(200, "text/markdown; charset=utf-8", method(third));
    if (second === "history") return json(states.map((s, i) => ({ state: i, at: s.when, who: s.who, what: s.what, current: i === now })).reverse().filter((s) => s.state < Number(url.searchParams.get("before") ?? 1e9)));
    const card = second === "piece" ? cards(view()).find((c) => c.name === third) : undefined;
    if (card) return json({ card, unrolled });
    if (second === "stock.svg") return send(200, "image/svg+xml", stock);
    if (second === "moved") return json(moved(view(), third));
    return send(404, "text/plain", "not there");
  }
  const path = extname(url.pathname) ? url.pathname : "/index.html";
  try {
    const file = await readFile(join(dist, normalize(path)));
    send(200, TYPES[extname(path)] ?? "application/octet-stream", file);
  } catch {
    send(404, "text/plain", "not there");
  }
});

new WebSocketServer({ server, path: "/live" }).on("connection", (socket) => {
  const client = { socket, known: new Set() };
  clients.add(client);
  socket.on("close", () => clients.delete(client));
  socket.on("message", (text) => hear(client, JSON.parse(String(text))));
  show(client);
});
server.listen(port, "127.0.0.1", () => console.log(`http://127.0.0.1:${port}/`));
