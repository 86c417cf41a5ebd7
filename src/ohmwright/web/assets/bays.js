// The bays of the places sheet: parts are dragged, nudged, turned and put back to not placed; the server stands them.
import { moving, pair, reach } from "./moving.js";

export function bays() {
  if (!document.querySelector("#places .bays")) return;
  moving({
    within: "#places",
    thing: "#places g.stood[tabindex]",
    step: 0.01,
    catches: 0.025,
    name: (group) => group.dataset.part,
    plan,
    stood,
    corners,
    lines,
    draw,
    meets,
    words,
    shown: (group) => group.closest(".bay").querySelector(".chosen-part"),
    away: (place) => ({ ...place, away: true }),
    same,
    put,
  });
}

const plan = (group) => group.closest("svg:not([data-fixed])");
const inSame = (group) => (other) => other.closest("svg") === group.closest("svg");

function stood(group) {
  const d = group.dataset;
  return { x: Number(d.x), y: Number(d.y), turned: d.turned === "yes", away: d.told === "no" };
}

// Across, up and out of a part as it stands: as `sides_m` of the server has it.
function sides(group, { turned }) {
  const { wall, sideways } = group.dataset;
  let [across, up, out] = pair(group.dataset.sides);
  if (turned) [across, up] = [up, across];
  if (sideways === "yes" || wall === "left" || wall === "right") [across, out] = [out, across];
  return [across, up, out];
}

function corners(group, place) {
  const [across, up] = sides(group, place);
  const { x, y } = place;
  return [[x, y], [x + across, y], [x + across, y + up], [x, y + up]];
}

// One box may stand before another: only what shares its depth is in its way.
function deep(group, place) {
  const out = Number(group.dataset.out);
  return [out, out + sides(group, place)[2]];
}

function shares(group, place, other, there) {
  const [a, b] = [deep(group, place), deep(other, there)];
  return a[0] < b[1] - 1e-6 && b[0] < a[1] - 1e-6;
}

// A left edge may stand at the right edge of a neighbour, or as far from it as either asks for; edges also stand in line.
function lines(group, place, others, now) {
  const size = plan(group).dataset;
  const [left, right, down, up] = pair(group.dataset.free);
  const found = [
    [[0, left], [Number(size.w), Number(size.w) - right]],
    [[0, down], [Number(size.h), Number(size.h) - up]],
  ];
  for (const other of others.filter(inSame(group))) {
    const [xs, ys] = reach(corners(other, now(other)));
    const [l, r, d, u] = pair(other.dataset.free);
    found[0][0].push(xs[0], xs[1], xs[1] + Math.max(left, r));
    found[0][1].push(xs[1], xs[0], xs[0] - Math.max(right, l));
    found[1][0].push(ys[0], ys[1], ys[1] + Math.max(down, u));
    found[1][1].push(ys[1], ys[0], ys[0] - Math.max(up, d));
  }
  return found;
}

function draw(group, place) {
  const { k, x0, y0 } = group.closest("svg").dataset;
  const [xs, ys] = reach(corners(group, place));
  const free = pair(group.dataset.free);
  box(group.querySelector(".body"), xs, ys, [0, 0, 0, 0]);
  const around = group.querySelector(".free");
  if (around) box(around, xs, ys, free);
  const text = group.querySelector("text");
  if (text) {
    const middle = [Number(x0) + (k * (xs[0] + xs[1])) / 2, Number(y0) - (k * (ys[0] + ys[1])) / 2];
    text.setAttribute("x", middle[0].toFixed(1));
    text.setAttribute("y", (middle[1] + 3).toFixed(1));
    if (text.hasAttribute("transform")) text.setAttribute("transform", `rotate(-90 ${middle[0].toFixed(1)} ${middle[1].toFixed(1)})`);
  }

  function box(rect, [x1, x2], [y1, y2], [left, right, down, up]) {
    rect.setAttribute("x", (Number(x0) + k * (x1 - left)).toFixed(1));
    rect.setAttribute("y", (Number(y0) - k * (y2 + up)).toFixed(1));
    rect.setAttribute("width", (k * (x2 - x1 + left + right)).toFixed(1));
    rect.setAttribute("height", (k * (y2 - y1 + down + up)).toFixed(1));
  }
}

function meets(group, place, others, now) {
  const own = reach(corners(group, place));
  const size = plan(group).dataset;
  if (own[0][0] < -1e-3 || own[1][0] < -1e-3 || own[0][1] > Number(size.w) + 1e-3 || own[1][1] > Number(size.h) + 1e-3) return "over the edge";
  for (const other of others.filter(inSame(group))) {
    const there = now(other);
    if (there.away || !shares(group, place, other, there)) continue;
    const edges = reach(corners(other, there));
    if ([0, 1].every((k) => own[k][0] < edges[k][1] - 1e-3 && edges[k][0] < own[k][1] - 1e-3)) return `in ${other.dataset.part}`;
  }
  return "";
}

function words(group, { x, y, turned, away }) {
  const told = `${group.dataset.part} at ${x.toFixed(3)} ${y.toFixed(3)} m${turned ? ", turned" : ""}`;
  return away ? `${told}, proposed` : told;
}

function same(group, place) {
  const was = stood(group);
  if (place.away && was.away) return place.x === was.x && place.y === was.y && place.turned === was.turned;
  return !place.away && !was.away && place.x === was.x && place.y === was.y && place.turned === was.turned;
}

function put(group, place) {
  const { wall, out, sideways, told } = group.dataset;
  const back = told === "yes" && place.away;
  const marks = [wall === "back" ? "" : wall, place.turned ? "turned" : "", sideways === "yes" ? "sideways" : ""].filter(Boolean);
  const value = back ? "" : [place.x, place.y, ...(Number(out) ? [out] : []), "m", ...marks].join(" ");
  return { to: `${document.querySelector(".bays").dataset.job}/stand`, values: { [`stand.${group.dataset.part}`]: value } };
}
