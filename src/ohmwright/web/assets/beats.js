// The second beat of a change: the sheet drawn again, then the energy year.
import htmx from "./htmx.js";

let stream = null;

export function beats() {
  document.addEventListener("htmx:oobAfterSwap", listen);
  document.addEventListener("htmx:afterSettle", listen);
  listen();
}

function listen() {
  const block = document.querySelector("#follows[data-beat]");
  if (!block) return;
  const address = block.dataset.beat;
  delete block.dataset.beat;
  stream?.close();
  stream = new EventSource(address);
  stream.addEventListener("drawing", (event) => {
    const box = document.querySelector("#circuit");
    if (!box) return;
    const paper = box.querySelector(".paper");
    const { scale } = box.dataset;
    const [x, y] = [paper?.scrollLeft ?? 0, paper?.scrollTop ?? 0];
    for (const piece of pieces(event.data)) {
      if (piece.id === "circuit") piece.dataset.scale = scale;
      document.getElementById(piece.id)?.replaceWith(piece);
      htmx.process(piece);
    }
    document.dispatchEvent(new CustomEvent("bench:drawn"));
    document.querySelector("#circuit .paper")?.scrollTo(x, y);
  });
  stream.addEventListener("year", (event) => {
    const body = document.querySelector("#year-lines");
    if (body) body.replaceChildren(...pieces(`<table><tbody>${event.data}</tbody></table>`)[0].querySelectorAll("tr"));
    document.body.dataset.beat = "year";
  });
  stream.addEventListener("done", () => stream.close());
  stream.addEventListener("error", () => stream.close());
}

function pieces(html) {
  const template = document.createElement("template");
  template.innerHTML = html;
  return [...template.content.children];
}
