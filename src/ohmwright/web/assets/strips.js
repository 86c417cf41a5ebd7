// A recorder strip is opened nearer by a press on it, and moved by its own keys; every stretch is an address.
import htmx from "./htmx.js";

const KEYS = { "=": "+", "_": "-" };

export function strips() {
  if (!document.querySelector("#strip")) return;
  document.addEventListener("click", (event) => {
    if (event.ctrlKey || event.metaKey || event.shiftKey) return;
    const link = event.target.closest("a[data-strip]");
    const svg = event.target.closest("svg.recorder");
    if (link) {
      event.preventDefault();
      go(link.getAttribute("href"), link.dataset.strip);
    } else if (svg) {
      nearer(svg, event);
    }
  });
  document.addEventListener("keydown", (event) => {
    if (!event.target.closest("#strip") || event.ctrlKey || event.metaKey || event.altKey) return;
    const link = [...document.querySelectorAll("a[data-strip]")].find((a) => a.dataset.strip === (KEYS[event.key] ?? event.key));
    if (!link) return;
    event.preventDefault();
    go(link.getAttribute("href"), "");
  });
}

function nearer(svg, event) {
  const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
  const wide = Number(svg.querySelector("rect").getAttribute("width"));
  const { at: base, first, days, half } = document.querySelector("#strip").dataset;
  if (at.x < 0 || at.x > wide || Number(days) <= 2) return;
  const middle = Number(first) + (Number(days) * at.x) / wide;
  go(`${base}?from=${Math.max(0, Math.round(middle - half / 2))}&days=${half}`, "");
}

function go(address, key) {
  history.replaceState(null, "", address);
  htmx.ajax("GET", address, { target: "#strip", swap: "outerHTML" }).then(() => {
    const again = [...document.querySelectorAll("a[data-strip]")].find((a) => a.dataset.strip === key);
    (again ?? document.querySelector("#strip")).focus({ preventScroll: true });
  });
}
