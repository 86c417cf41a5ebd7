// The roof plan: modules are dragged, nudged and turned here; the server lays them and says what it costs.
import { moving, pair, reach } from "./moving.js";

export function roof() {
  if (!document.querySelector("#roof")) return;
  moving({
    within: "#roof",
    thing: "g.module[tabindex]",
    step: 0.025,
    catches: 0.04,
    name: (group) => group.dataset.module,
    plan,
    stood,
    corners,
    lines,
    draw,
    meets,
    words,
    same: (group, place) => JSON.stringify(stood(group)) === JSON.stringify({ x: place.x, y: place.y, turned: place.turned }),
    put,
  });
}

const plan = () => document.querySelector("#plan:not([data-fixed])");

function stood(group) {
  const d = group.dataset;
  return { x: Number(d.x), y: Number(d.y), turned: d.turned === "yes" };
}

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

// An edge near an edge of a neighbour, an obstacle's or the outline's catches on it, whichever edge it is.
function lines(group, place, others, now) {
  const size = plan().dataset;
  const found = [[0, Number(size.w)], [0, Number(size.h)]];
  for (const other of others) {
    const edges = reach(corners(other, now(other)));
    for (const k of [0, 1]) found[k].push(...edges[k]);
  }
  return found.map((each) => [each, each]);
}

function draw(group, place) {
  const { k, x0, y0 } = plan().dataset;
  const points = corners(group, place).map(([x, y]) => [Number(x0) + k * x, Number(y0) - k * y]);
  group.querySelector("polygon").setAttribute("points", points.map((p) => p.map((v) => v.toFixed(1)).join(",")).join(" "));
  const line = group.querySelector("line");
  const [a, , c] = points;
  for (const [name, value] of [["x1", a[0]], ["y1", a[1]], ["x2", c[0]], ["y2", c[1]]]) line.setAttribute(name, value.toFixed(1));
  const text = group.querySelector("text");
  text.setAttribute("x", ((a[0] + c[0]) / 2).toFixed(1));
  text.setAttribute("y", ((a[1] + c[1]) / 2).toFixed(1));
}

function meets(group, place, others, now) {
  const own = reach(corners(group, place));
  const size = plan().dataset;
  if (own[0][0] < -1e-6 || own[1][0] < -1e-6 || own[0][1] > Number(size.w) + 1e-6 || own[1][1] > Number(size.h) + 1e-6) return "over the outline";
  for (const other of others) {
    const edges = reach(corners(other, now(other)));
    if ([0, 1].every((k) => own[k][0] < edges[k][1] - 1e-6 && edges[k][0] < own[k][1] - 1e-6)) return `on ${other.dataset.module}`;
  }
  return "";
}

function words(group, { x, y, turned }) {
  return `${group.dataset.module} at ${x.toFixed(3)} ${y.toFixed(3)} m${turned ? ", turned" : ""}`;
}

function put(group, place) {
  const paper = document.querySelector(".paper.plan");
  const value = `${place.x} ${place.y} m${place.turned ? " turned" : ""}`;
  return { to: `${paper.dataset.job}/lay?${paper.dataset.query}`, values: { [`lay.${group.dataset.module}`]: value } };
}
