// Choosing a device in the drawing opens its row; choosing a row puts corner brackets on the device.
import htmx from "./htmx.js";

const SVG = "http://www.w3.org/2000/svg";
const PX_OF_READING = 15;

export function choosing() {
  document.addEventListener("click", (event) => {
    const row = event.target.closest("a[data-choose]");
    const drawn = event.target.closest("svg.circuit [data-ref]") ?? under(event);
    const scale = event.target.closest("a[data-scale]");
    if (event.ctrlKey || event.metaKey || event.shiftKey) return;
    if (scale) {
      event.preventDefault();
      setScale(scale.dataset.scale);
    } else if (row || drawn) {
      event.preventDefault();
      choose(row ? row.dataset.choose : drawn.dataset.ref, Boolean(row));
    }
  });
  document.addEventListener("htmx:afterSettle", soon);
  document.addEventListener("bench:drawn", () => {
    fit();
    soon();
  });
  addEventListener("resize", fit);
  if (matchMedia("(max-width: 700px)").matches && document.querySelector("#circuit, #further")) setScale("read");
  fit();
  mark();
  showRow();
}

// Only the schedule is moved, never the page.
function showRow() {
  const rows = document.querySelector(".schedule .rows");
  const row = rows?.querySelector("tr.chosen");
  if (row) rows.scrollTop += row.getBoundingClientRect().top - rows.getBoundingClientRect().top - 60;
}

// Most of a symbol is empty paper: the smallest device around the point is meant.
export function under(event) {
  const svg = event.target.closest("svg.circuit");
  if (!svg) return null;
  const { x, y } = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
  let best = null;
  for (const g of svg.querySelectorAll("g[data-ref]")) {
    const box = g.getBBox();
    const inside = x >= box.x - 1 && x <= box.x + box.width + 1 && y >= box.y - 1 && y <= box.y + box.height + 1;
    if (inside && (!best || box.width * box.height < best.area)) best = { g, area: box.width * box.height };
  }
  return best?.g ?? null;
}

function choose(ref, byRow) {
  const base = location.pathname;
  const list = byRow ? document.querySelector(".lists [aria-current]")?.search.match(/list=(\w+)/)?.[1] ?? "" : "";
  const sheet = new URLSearchParams(location.search).get("sheet");
  const query = new URLSearchParams({ choose: ref, ...(list ? { list } : {}), ...(sheet ? { sheet } : {}) });
  history.replaceState(null, "", `${base}?${query}`);
  htmx.ajax("GET", `${base}/chosen?${query}`, { target: "#schedule", swap: "outerHTML" }).then(() => {
    document.querySelector("#chosen")?.focus({ preventScroll: byRow });
    showRow();
  });
}

function setScale(scale) {
  const box = document.querySelector("#circuit, #further");
  box.dataset.scale = scale;
  for (const link of document.querySelectorAll("a[data-scale]")) {
    if (link.dataset.scale === scale) link.setAttribute("aria-current", "true");
    else link.removeAttribute("aria-current");
  }
  fit();
  mark();
}

// Reading size: the small lettering of the sheet stands 15 px high on the screen.
function fit() {
  const box = document.querySelector("#circuit, #further");
  if (!box) return;
  for (const paper of box.querySelectorAll(".paper")) {
    const wide = (Number(paper.dataset.mm) * PX_OF_READING) / Number(paper.dataset.em);
    paper.querySelector("svg").style.width = box.dataset.scale === "read" ? `${Math.max(wide, paper.clientWidth)}px` : "";
  }
}

// An answer settles in several places: the brackets are set once for all of them.
let waits = false;
function soon() {
  if (waits) return;
  waits = true;
  requestAnimationFrame(() => {
    waits = false;
    mark();
  });
}

function mark() {
  for (const old of document.querySelectorAll(".brackets")) old.remove();
  const chosen = document.querySelector("tr.chosen")?.dataset.row;
  if (!chosen) return;
  let first = null;
  for (const svg of document.querySelectorAll("svg.circuit")) {
    const boxes = [...svg.querySelectorAll("[data-ref]")]
      .filter((g) => g.dataset.ref === chosen || g.dataset.ref.startsWith(`${chosen}.`))
      .map((g) => g.getBBox())
      .filter((b) => b.width || b.height);
    for (const box of merged(boxes)) {
      const path = document.createElementNS(SVG, "path");
      path.setAttribute("class", "brackets");
      path.setAttribute("stroke-width", "0.7");
      path.setAttribute("d", corners(box));
      svg.append(path);
      first = first ?? path;
    }
  }
  const paper = first?.closest(".paper");
  if (paper) reveal(paper, first);
}

function merged(boxes) {
  if (!boxes.length) return [];
  const left = Math.min(...boxes.map((b) => b.x));
  const top = Math.min(...boxes.map((b) => b.y));
  const right = Math.max(...boxes.map((b) => b.x + b.width));
  const bottom = Math.max(...boxes.map((b) => b.y + b.height));
  return [{ left: left - 1.5, top: top - 1.5, right: right + 1.5, bottom: bottom + 1.5 }];
}

function corners({ left, top, right, bottom }) {
  const arm = Math.min(5, (right - left) / 3, (bottom - top) / 3) || 2;
  return [
    `M${left} ${top + arm}V${top}H${left + arm}`,
    `M${right - arm} ${top}H${right}V${top + arm}`,
    `M${right} ${bottom - arm}V${bottom}H${right - arm}`,
    `M${left + arm} ${bottom}H${left}V${bottom - arm}`,
  ].join("");
}

// Only the paper is moved, never the page.
function reveal(paper, path) {
  const frame = paper.getBoundingClientRect();
  const box = path.getBoundingClientRect();
  if (box.left < frame.left || box.right > frame.right) paper.scrollLeft += box.left + box.width / 2 - frame.left - frame.width / 2;
  if (box.top < frame.top || box.bottom > frame.bottom) paper.scrollTop += box.top + box.height / 2 - frame.top - frame.height / 2;
}
