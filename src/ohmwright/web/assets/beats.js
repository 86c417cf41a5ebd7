// The second beat of a change: the sheet drawn again, then the energy year.
import htmx from "./htmx.js";

let stream = null;
let address = "";
let missed = false;

export function beats() {
  document.addEventListener("htmx:oobAfterSwap", redraw);
  document.addEventListener("htmx:afterSettle", listen);
  listen();
}

function listen() {
  const block = document.querySelector("#follows[data-beat]");
  if (!block) return;
  address = block.dataset.beat;
  delete block.dataset.beat;
  hear();
}

function hear() {
  stream?.close();
  const shown = document.querySelector("#rows")?.dataset.of ?? "";
  stream = new EventSource(`${missed ? `${address.replace("&drawn=1", "")}&whole=1` : address}&rows=${shown}`);
  missed = false;
  stream.addEventListener("drawing", (event) => {
    for (const piece of pieces(event.data)) document.getElementById(piece.id)?.replaceWith(piece);
    redraw();
    if (missed) hear();
  });
  stream.addEventListener("counted", (event) => rows("#counted-lines", event.data));
  stream.addEventListener("year", (event) => {
    rows("#year-lines", event.data);
    document.body.dataset.beat = "year";
  });
  stream.addEventListener("done", () => stream.close());
  stream.addEventListener("error", () => stream.close());
}

// The drawing came with the change: whole, or only what of it is otherwise.
function redraw(swapped) {
  rerow(swapped);
  const box = document.querySelector("#redrawn[data-of]");
  const circuit = document.querySelector("#circuit");
  if (!box || !circuit) return;
  const { was, of } = box.dataset;
  delete box.dataset.of;
  if (box.dataset.whole) {
    whole([...box.children]);
    return;
  }
  if (circuit.dataset.of !== was) {
    missed = true; // the sheet here is older than what these pieces belong to
    return;
  }
  const sheets = [...circuit.querySelectorAll("svg.circuit")].map((svg) => [...svg.children]);
  for (const piece of box.querySelectorAll("svg[data-at]")) {
    sheets[piece.dataset.sheet][piece.dataset.at].replaceWith(piece.firstElementChild);
  }
  for (const note of box.querySelectorAll("#notes, .note")) {
    const there = [...document.querySelectorAll(`[id="${note.id}"]`)].find((other) => other !== note);
    there?.replaceWith(note);
  }
  box.replaceChildren();
  circuit.dataset.of = of;
  document.dispatchEvent(new CustomEvent("bench:drawn"));
}

// Of the schedule come the rows that say something else, if it still is the one that they were held against.
function rerow(swapped) {
  const box = document.querySelector("#rerowed[data-of]");
  const table = document.querySelector("#rows");
  if (!box || !table) return;
  const { was, of } = box.dataset;
  delete box.dataset.of;
  const news = [...box.querySelectorAll("tr[data-row]")];
  box.replaceChildren();
  if (table.dataset.of !== was) {
    if (swapped) htmx.ajax("GET", `${location.pathname}/chosen${location.search}`, { target: "#schedule", swap: "outerHTML" });
    return;
  }
  const there = new Map([...table.querySelectorAll("tr[data-row]")].map((row) => [row.dataset.row, row]));
  for (const row of news) there.get(row.dataset.row)?.replaceWith(row);
  table.dataset.of = of;
}

function whole(all) {
  const box = document.querySelector("#circuit");
  if (!box) return;
  const paper = box.querySelector(".paper");
  const { scale } = box.dataset;
  const [x, y] = [paper?.scrollLeft ?? 0, paper?.scrollTop ?? 0];
  for (const piece of all) {
    if (piece.id === "circuit") piece.dataset.scale = scale;
    [...document.querySelectorAll(`[id="${piece.id}"]`)].find((other) => other !== piece)?.replaceWith(piece);
    htmx.process(piece);
  }
  document.dispatchEvent(new CustomEvent("bench:drawn"));
  document.querySelector("#circuit .paper")?.scrollTo(x, y);
}

function rows(where, html) {
  document.querySelector(where)?.replaceChildren(...pieces(`<table><tbody>${html}</tbody></table>`)[0].querySelectorAll("tr"));
}

function pieces(html) {
  const template = document.createElement("template");
  template.innerHTML = html;
  return [...template.content.children];
}
