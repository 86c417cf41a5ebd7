// The roof plan: modules are dragged, nudged and turned here; the server lays them and says what it costs.
import htmx from "./htmx.js";

const STEP = 0.025;
const CATCH = 0.04;
const PAUSE_MS = 600;
const NUDGES = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
const BUTTONS = { left: "ArrowLeft", right: "ArrowRight", up: "ArrowUp", down: "ArrowDown" };

const waiting = new Map(); // module -> where it has been moved to, not yet laid by the server
let dragged = null;
let timer = null;
let sending = false;
let chosen = "";

export function roof() {
  if (!document.querySelector("#roof")) return;
  document.addEventListener("pointerdown", take);
  document.addEventListener("touchstart", hold, { passive: false });
  document.addEventListener("pointermove", carry);
  document.addEventListener("pointerup", drop);
  document.addEventListener("pointercancel", forget);
  document.addEventListener("keydown", key);
  document.addEventListener("focusin", (event) => choose(event.target.closest?.("g.module[tabindex]")));
  document.addEventListener("click", (event) => {
    const button = event.target.closest("button[data-move]");
    const group = button && find(chosen);
    if (!group) return;
    if (button.dataset.move === "turn") turn(group);
    else nudge(group, NUDGES[BUTTONS[button.dataset.move]], STEP);
  });
  document.addEventListener("htmx:afterSettle", ready);
  ready();
}

function ready() {
  const moves = document.querySelector(".moves");
  if (moves) moves.hidden = false;
  mark();
}

// ------------------------------------------------------------------------------------------------------ geometry

const plan = () => document.querySelector("#plan:not([data-fixed])");
const find = (name) => [...document.querySelectorAll("g.module[tabindex]")].find((g) => g.dataset.module === name);
const pair = (text) => text.split(" ").map(Number);
const round = (value) => Math.round(value * 1000) / 1000;

function stood(group) {
  const d = group.dataset;
  return { x: Number(d.x), y: Number(d.y), turned: d.turned === "yes" };
}

const now = (group) => waiting.get(group.dataset.module) ?? stood(group);

function corners(group, { x, y, turned }) {
  const { long, wide, right, up } = group.dataset;
  const [a, b] = turned ? [pair(up), pair(right)] : [pair(right), pair(up)];
  const along = a.map((v) => v * long);
  const across = b.map((v) => v * wide);
  return [
    [x, y],
    [x + along[0], y + along[1]],
    [x + along[0] + across[0], y + along[1] + across[1]],
    [x + across[0], y + across[1]],
  ];
}

function reach(points) {
  const of = (k) => points.map((p) => p[k]);
  return [0, 1].map((k) => [Math.min(...of(k)), Math.max(...of(k))]);
}

// To the grid; then an edge that is near an edge of a neighbour, an obstacle's or the outline's catches on it.
function caught(group, place) {
  const out = { ...place, x: round(Math.round(place.x / STEP) * STEP), y: round(Math.round(place.y / STEP) * STEP) };
  const own = reach(corners(group, out));
  const size = plan().dataset;
  const lines = [[0, Number(size.w)], [0, Number(size.h)]];
  for (const other of document.querySelectorAll("g.module[tabindex]")) {
    if (other === group) continue;
    const edges = reach(corners(other, now(other)));
    for (const k of [0, 1]) lines[k].push(...edges[k]);
  }
  for (const [k, name] of [[0, "x"], [1, "y"]]) {
    let best = null;
    for (const edge of own[k]) {
      for (const line of lines[k]) {
        if (best === null || Math.abs(line - edge) < Math.abs(best)) best = line - edge;
      }
    }
    if (best !== null && Math.abs(best) < CATCH) out[name] = round(out[name] + best);
  }
  return out;
}

function draw(group) {
  const { k, x0, y0 } = plan().dataset;
  const points = corners(group, now(group)).map(([x, y]) => [Number(x0) + k * x, Number(y0) - k * y]);
  group.querySelector("polygon").setAttribute("points", points.map((p) => p.map((v) => v.toFixed(1)).join(",")).join(" "));
  const line = group.querySelector("line");
  const [a, , c] = points;
  for (const [name, value] of [["x1", a[0]], ["y1", a[1]], ["x2", c[0]], ["y2", c[1]]]) line.setAttribute(name, value.toFixed(1));
  const text = group.querySelector("text");
  text.setAttribute("x", ((a[0] + c[0]) / 2).toFixed(1));
  text.setAttribute("y", ((a[1] + c[1]) / 2).toFixed(1));
}

// What meets what, for the eye only: the server has the last word.
function meets(group) {
  const own = reach(corners(group, now(group)));
  const size = plan().dataset;
  if (own[0][0] < -1e-6 || own[1][0] < -1e-6 || own[0][1] > Number(size.w) + 1e-6 || own[1][1] > Number(size.h) + 1e-6) return "over the outline";
  for (const other of document.querySelectorAll("g.module[tabindex]")) {
    if (other === group) continue;
    const edges = reach(corners(other, now(other)));
    if ([0, 1].every((k) => own[k][0] < edges[k][1] - 1e-6 && edges[k][0] < own[k][1] - 1e-6)) return `on ${other.dataset.module}`;
  }
  return "";
}

function say(group) {
  const { x, y, turned } = now(group);
  const where = `${group.dataset.module} at ${x.toFixed(3)} ${y.toFixed(3)} m${turned ? ", turned" : ""}`;
  const met = meets(group);
  group.classList.toggle("amiss", Boolean(met));
  document.querySelector("#told").textContent = met ? `${where}, ${met}` : where;
  const shown = document.querySelector("#chosen-module");
  if (shown) shown.textContent = met ? `${where}, ${met}` : where;
}

// ------------------------------------------------------------------------------------------------------ moving

function choose(group) {
  if (!group || chosen === group.dataset.module) return;
  chosen = group.dataset.module;
  mark();
}

function mark() {
  for (const g of document.querySelectorAll("g.module")) g.classList.toggle("chosen", g.dataset.module === chosen);
  const group = find(chosen);
  const shown = document.querySelector("#chosen-module");
  if (!group || !shown) return;
  const { x, y, turned } = now(group);
  shown.textContent = `${chosen} at ${x.toFixed(3)} ${y.toFixed(3)} m${turned ? ", turned" : ""}`;
}

function metres(event) {
  const svg = plan();
  const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
  const { k, x0, y0 } = svg.dataset;
  return [(at.x - x0) / k, (y0 - at.y) / k];
}

function take(event) {
  const group = event.target.closest?.("g.module[tabindex]");
  if (!group || event.button !== 0 || !plan()) return;
  event.preventDefault();
  group.focus({ preventScroll: true });
  choose(group);
  const place = now(group);
  const [x, y] = metres(event);
  dragged = { name: group.dataset.module, pointer: event.pointerId, dx: place.x - x, dy: place.y - y, before: waiting.get(group.dataset.module), moved: false };
}

// A finger on a module drags it and does not scroll the sheet.
function hold(event) {
  if (event.target.closest?.("g.module[tabindex]") && plan()) event.preventDefault();
}

function carry(event) {
  if (!dragged || event.pointerId !== dragged.pointer) return;
  const group = find(dragged.name);
  if (!group) return;
  const [x, y] = metres(event);
  const place = caught(group, { ...now(group), x: x + dragged.dx, y: y + dragged.dy });
  const old = now(group);
  if (!dragged.moved && Math.hypot(x + dragged.dx - old.x, y + dragged.dy - old.y) < 0.01) return;
  dragged.moved = true;
  waiting.set(dragged.name, place);
  draw(group);
  say(group);
}

function drop(event) {
  if (!dragged || event.pointerId !== dragged.pointer) return;
  const { moved } = dragged;
  dragged = null;
  if (moved) send();
}

function forget() {
  if (!dragged) return;
  const { name, before } = dragged;
  dragged = null;
  takeBack(name, before);
}

function takeBack(name, before) {
  if (before) waiting.set(name, before);
  else waiting.delete(name);
  const group = find(name);
  if (!group) return;
  draw(group);
  say(group);
}

function key(event) {
  const group = event.target.closest?.("g.module[tabindex]");
  if (!group || event.ctrlKey || event.metaKey || event.altKey) return;
  if (NUDGES[event.key]) {
    event.preventDefault();
    nudge(group, NUDGES[event.key], event.shiftKey ? 4 * STEP : STEP);
  } else if (event.key === "r" || event.key === "R") {
    event.preventDefault();
    turn(group);
  } else if (event.key === "Escape") {
    if (dragged) forget();
    else if (!sending) takeBack(group.dataset.module);
  } else if (event.key === "Enter" && waiting.size) {
    send();
  }
}

function nudge(group, [dx, dy], step) {
  const place = now(group);
  put(group, { ...place, x: round(place.x + dx * step), y: round(place.y + dy * step) });
}

// Turned about its middle, as near as the grid allows.
function turn(group) {
  const place = now(group);
  const middle = (at) => reach(corners(group, at)).map(([low, high]) => (low + high) / 2);
  const turned = { ...place, turned: !place.turned };
  const [a, b] = [middle(place), middle(turned)];
  put(group, caught(group, { ...turned, x: place.x + a[0] - b[0], y: place.y + a[1] - b[1] }));
}

function put(group, place) {
  choose(group);
  waiting.set(group.dataset.module, place);
  draw(group);
  say(group);
  clearTimeout(timer);
  timer = setTimeout(send, PAUSE_MS);
}

// ------------------------------------------------------------------------------------------------------ laying

async function send() {
  clearTimeout(timer);
  if (sending || dragged) return;
  const [name] = waiting.keys();
  if (name === undefined) return;
  const place = waiting.get(name);
  const group = find(name);
  const same = group && JSON.stringify(stood(group)) === JSON.stringify({ x: place.x, y: place.y, turned: place.turned });
  if (!group || same) {
    waiting.delete(name);
    return;
  }
  sending = true;
  const focused = document.activeElement?.closest?.("g.module")?.dataset.module;
  const paper = document.querySelector(".paper.plan");
  const value = `${place.x} ${place.y} m${place.turned ? " turned" : ""}`;
  try {
    await htmx.ajax("POST", `${paper.dataset.job}/lay?${paper.dataset.query}`, { target: "#roof", swap: "outerHTML", values: { [`lay.${name}`]: value } });
  } finally {
    sending = false;
  }
  if (waiting.get(name) === place) waiting.delete(name);
  for (const g of document.querySelectorAll("g.module[tabindex]")) {
    draw(g);
    g.classList.toggle("amiss", waiting.has(g.dataset.module) ? Boolean(meets(g)) : g.dataset.amiss === "yes");
  }
  const again = focused && find(focused);
  if (again && document.activeElement !== again) again.focus({ preventScroll: true });
  const refused = document.querySelector("#said p");
  if (refused) document.querySelector("#told").textContent = refused.textContent;
  mark();
  if (waiting.size) send();
}
