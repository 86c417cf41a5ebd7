// Things of a drawing that are dragged, nudged and turned; the server puts them and says what follows.
//
// A sheet that has such things says: `within` (what holds it all), `thing` (selector), `name(group)`, `plan(group)` (the drawing it
// stands in, null while it is fixed), `stood(group)` (where it stands by the server), `corners(group, place)`, `draw(group, place)`,
// `lines(group, place)` (what its edges may catch on, along and across), `meets(group, place)` (what it stands in, as words),
// `words(group, place)`, `same(group, place)`, `step`, `catches` (how near edges catch), `put(group, place)` (the request), and where a
// thing may stand nowhere `away(place)`.
import htmx from "./htmx.js";

const PAUSE_MS = 600;
const NUDGES = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
const BUTTONS = { left: "ArrowLeft", right: "ArrowRight", up: "ArrowUp", down: "ArrowDown" };

export const pair = (text) => text.split(" ").map(Number);
export const round = (value) => Math.round(value * 1000) / 1000;

export function reach(points) {
  const of = (k) => points.map((p) => p[k]);
  return [0, 1].map((k) => [Math.min(...of(k)), Math.max(...of(k))]);
}

export function moving(sheet) {
  const waiting = new Map(); // name -> where it has been moved to, not yet put by the server
  let dragged = null;
  let timer = null;
  let sending = false;
  let chosen = "";

  const all = () => [...document.querySelectorAll(sheet.thing)];
  const find = (name) => all().find((g) => sheet.name(g) === name);
  const over = (target) => target.closest?.(sheet.thing);
  const now = (group) => waiting.get(sheet.name(group)) ?? sheet.stood(group);

  document.addEventListener("pointerdown", take);
  document.addEventListener("touchstart", hold, { passive: false });
  document.addEventListener("pointermove", carry);
  document.addEventListener("pointerup", drop);
  document.addEventListener("pointercancel", forget);
  document.addEventListener("keydown", key);
  document.addEventListener("focusin", (event) => choose(over(event.target)));
  document.addEventListener("click", (event) => {
    const button = event.target.closest("button[data-move]");
    const group = button && find(chosen);
    if (!group) return;
    if (button.dataset.move === "turn") turn(group);
    else if (button.dataset.move === "away") away(group);
    else nudge(group, NUDGES[BUTTONS[button.dataset.move]], sheet.step);
  });
  document.addEventListener("htmx:afterSettle", ready);
  ready();

  function ready() {
    for (const moves of document.querySelectorAll(".moves")) moves.hidden = false;
    mark();
  }

  // To the grid; then an edge that is near a line that it may stand at catches on it.
  function caught(group, place) {
    const { step } = sheet;
    const out = { ...place, x: round(Math.round(place.x / step) * step), y: round(Math.round(place.y / step) * step) };
    const own = reach(sheet.corners(group, out));
    const others = all().filter((g) => g !== group);
    const lines = sheet.lines(group, out, others, now);
    for (const [k, name] of [[0, "x"], [1, "y"]]) {
      let best = null;
      own[k].forEach((edge, end) => {
        for (const line of lines[k][end]) {
          if (best === null || Math.abs(line - edge) < Math.abs(best)) best = line - edge;
        }
      });
      if (best !== null && Math.abs(best) < sheet.catches) out[name] = round(out[name] + best);
    }
    return out;
  }

  function draw(group) {
    sheet.draw(group, now(group));
  }

  // What meets what, for the eye only: the server has the last word.
  function meets(group) {
    return sheet.meets(group, now(group), all().filter((g) => g !== group), now);
  }

  function say(group) {
    const met = meets(group);
    const where = sheet.words(group, now(group));
    group.classList.toggle("amiss", Boolean(met));
    document.querySelector("#told").textContent = met ? `${where}, ${met}` : where;
    show(group, met ? `${where}, ${met}` : where);
  }

  function show(group, text) {
    const shown = sheet.shown ? sheet.shown(group) : document.querySelector("#chosen-module");
    if (shown) shown.textContent = text;
  }

  function choose(group) {
    if (!group || chosen === sheet.name(group)) return;
    chosen = sheet.name(group);
    mark();
  }

  function mark() {
    for (const g of all()) g.classList.toggle("chosen", sheet.name(g) === chosen);
    const group = find(chosen);
    if (group) show(group, sheet.words(group, now(group)));
  }

  // ---------------------------------------------------------------------------------------------------- moving

  function metres(event, group) {
    const svg = sheet.plan(group);
    const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
    const { k, x0, y0 } = svg.dataset;
    return [(at.x - x0) / k, (y0 - at.y) / k];
  }

  function take(event) {
    const group = over(event.target);
    if (!group || event.button !== 0 || !sheet.plan(group)) return;
    event.preventDefault();
    group.focus({ preventScroll: true });
    choose(group);
    const place = now(group);
    const [x, y] = metres(event, group);
    dragged = { name: sheet.name(group), pointer: event.pointerId, dx: place.x - x, dy: place.y - y, before: waiting.get(sheet.name(group)), moved: false };
  }

  // A finger on a thing drags it and does not scroll the sheet.
  function hold(event) {
    const group = over(event.target);
    if (group && sheet.plan(group)) event.preventDefault();
  }

  function carry(event) {
    if (!dragged || event.pointerId !== dragged.pointer) return;
    const group = find(dragged.name);
    if (!group) return;
    const [x, y] = metres(event, group);
    const place = caught(group, { ...now(group), away: false, x: x + dragged.dx, y: y + dragged.dy });
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
    const group = over(event.target);
    if (!group || event.ctrlKey || event.metaKey || event.altKey) return;
    if (NUDGES[event.key]) {
      event.preventDefault();
      nudge(group, NUDGES[event.key], event.shiftKey ? 4 * sheet.step : sheet.step);
    } else if (event.key === "r" || event.key === "R") {
      event.preventDefault();
      turn(group);
    } else if (event.key === "Escape") {
      if (dragged) forget();
      else if (!sending) takeBack(sheet.name(group));
    } else if (event.key === "Delete" && sheet.away) {
      event.preventDefault();
      away(group);
    } else if (event.key === "Enter" && waiting.size) {
      send();
    }
  }

  function nudge(group, [dx, dy], step) {
    const place = now(group);
    put(group, { ...place, away: false, x: round(place.x + dx * step), y: round(place.y + dy * step) });
  }

  // Turned about its middle, as near as the grid allows.
  function turn(group) {
    const place = now(group);
    const middle = (at) => reach(sheet.corners(group, at)).map(([low, high]) => (low + high) / 2);
    const turned = { ...place, away: false, turned: !place.turned };
    const [a, b] = [middle(place), middle(turned)];
    put(group, caught(group, { ...turned, x: place.x + a[0] - b[0], y: place.y + a[1] - b[1] }));
  }

  function away(group) {
    if (!sheet.away) return;
    waiting.set(sheet.name(group), sheet.away(now(group)));
    send();
  }

  function put(group, place) {
    choose(group);
    waiting.set(sheet.name(group), place);
    draw(group);
    say(group);
    clearTimeout(timer);
    timer = setTimeout(send, PAUSE_MS);
  }

  // --------------------------------------------------------------------------------------------------- putting

  async function send() {
    clearTimeout(timer);
    if (sending || dragged) return;
    const [name] = waiting.keys();
    if (name === undefined) return;
    const place = waiting.get(name);
    const group = find(name);
    if (!group || sheet.same(group, place)) {
      waiting.delete(name);
      return;
    }
    sending = true;
    const held = over(document.activeElement ?? document.body);
    const focused = held && sheet.name(held);
    const { to, values } = sheet.put(group, place);
    const answered = await htmx.ajax("POST", to, { target: sheet.within, swap: "outerHTML", values }).then(() => true, () => false);
    sending = false;
    if (!answered) {
      show(group, `${name} is not put: the bench does not answer. Start it again, then press Enter here or move it once more.`);
      return;
    }
    if (waiting.get(name) === place) waiting.delete(name);
    for (const g of all()) {
      draw(g);
      g.classList.toggle("amiss", waiting.has(sheet.name(g)) ? Boolean(meets(g)) : g.dataset.amiss === "yes");
    }
    const again = focused && find(focused);
    if (again && document.activeElement !== again) again.focus({ preventScroll: true });
    const refused = document.querySelector("#said p");
    if (refused) document.querySelector("#told").textContent = refused.textContent;
    mark();
    if (waiting.size) send();
  }
}
