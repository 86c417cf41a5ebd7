// A new run is laid from device to device: while its form is open, a press in the drawing names an end.
import htmx from "./htmx.js";
import { under } from "./choosing.js";

let last = "";

export function wiring() {
  document.addEventListener("click", press, true);
  document.addEventListener("focusin", (event) => {
    if (event.target.matches?.("#new-run .end")) last = event.target.name;
  });
  document.addEventListener("htmx:afterSettle", tell);
  document.addEventListener("htmx:oobAfterSwap", again);
  document.addEventListener("htmx:beforeSwap", keepChoice);
  tell();
  begin();
}

// The work goes on where the last part or run was put in.
function begin() {
  const first = document.querySelector("#find-part") ?? field("from");
  first?.focus({ preventScroll: true });
}

const field = (name) => document.querySelector(`#new-run [name="${name}"]`);

function press(event) {
  if (!document.querySelector("#new-run")) return;
  const button = event.target.closest?.("button[data-end]");
  const drawn = event.target.closest?.("svg.circuit [data-ref]") ?? under(event);
  if (!button && !drawn) return;
  event.preventDefault();
  event.stopPropagation();
  if (button) name(button.dataset.end, button.dataset.address);
  else name(wanted(), owner(drawn.dataset.ref));
}

// The end that is still empty; when both are named, the one that was touched last.
function wanted() {
  if (!field("from").value) return "from";
  if (!field("to").value) return "to";
  return last === "from" || last === "to" ? last : "to";
}

// A fuse of a battery in a bank, or the branch of a load, is meant as the thing it belongs to.
const owner = (ref) => ref.replace(/\.branch$/, "");

function name(end, address) {
  const input = field(end);
  input.value = address;
  last = end === "from" ? "to" : end;
  input.dispatchEvent(new Event("change", { bubbles: true }));
}

// Which end a press in the drawing names next is said in the form.
function tell() {
  if (document.activeElement === document.body && document.querySelector(".find-part")) begin();
  const form = document.querySelector("#new-run");
  if (!form) return;
  if (document.activeElement === document.body) begin();
  for (const end of ["from", "to"]) field(end)?.closest(".put").classList.toggle("wanted", wanted() === end);
}

// A drawing beside the circuit is asked for anew when the rig is otherwise.
let shown = document.body?.dataset.opened;

async function again() {
  const now = document.querySelector("#now")?.dataset.opened;
  if (!document.querySelector("#further") || !now || now === shown) return;
  shown = now;
  await htmx.ajax("GET", location.href, { target: "#further", select: "#further", swap: "outerHTML" });
  document.dispatchEvent(new CustomEvent("bench:drawn"));
}

// What was chosen on the shelf stays chosen when a longer search brings a shorter list.
function keepChoice(event) {
  if (event.detail.target?.id !== "found") return;
  const chosen = document.querySelector("#found input[name=part]:checked")?.id;
  if (!chosen) return;
  const restore = () => {
    const same = document.getElementById(chosen);
    if (same) same.checked = true;
  };
  document.addEventListener("htmx:afterSettle", restore, { once: true });
}
