// A form that leaves its page is sent once, and only to a bench that answers: else what was typed would leave with it.
import { unanswered } from "./editing.js";

const WORD_AFTER_MS = 400;
const AGAIN_AFTER_MS = 20_000;
const waiting = new WeakSet();
const sure = new WeakSet();

export function sending() {
  document.addEventListener("submit", leave);
  // Back on a page that the browser kept, its forms can be sent anew.
  addEventListener("pageshow", () => {
    for (const form of document.forms) ready(form);
  });
}

async function leave(event) {
  const form = event.target;
  if (event.defaultPrevented || form.getAttribute("method") !== "post" || form.hasAttribute("hx-post") || sure.has(form)) return;
  const again = waiting.has(form);
  if (again || written(form)) event.preventDefault();
  if (again) return;
  const button = event.submitter;
  waiting.add(form);
  setTimeout(() => tell(form), WORD_AFTER_MS);
  setTimeout(() => ready(form), AGAIN_AFTER_MS); // an answer may be a file, which leaves the page open
  if (!event.defaultPrevented) return;
  if (!(await answers())) {
    ready(form);
    unanswered("post", form);
    return;
  }
  form.querySelector("#said")?.remove();
  // An answer to something else may have brought the form anew meanwhile.
  const now = form.isConnected ? form : document.getElementById(form.id);
  if (!now) return;
  const pressed = now === form ? button : [...now.querySelectorAll("button")].find((b) => b.value === button?.value && !b.disabled);
  sure.add(now);
  now.requestSubmit(pressed);
  sure.delete(now);
}

// Whether anything would be lost with the page.
function written(form) {
  return [...form.elements].some((f) => {
    if (f.options) return f.selectedIndex !== Math.max(0, [...f.options].findIndex((o) => o.defaultSelected));
    if (f.type === "checkbox" || f.type === "radio") return f.checked !== f.defaultChecked;
    return f.defaultValue !== undefined && f.type !== "hidden" && f.value !== f.defaultValue;
  });
}

// On a slow line a press is answered by a word, not by nothing.
function tell(form) {
  if (!waiting.has(form) || form.querySelector(".sent")) return;
  const word = document.createElement("p");
  word.className = "sent small";
  word.setAttribute("role", "status");
  word.textContent = "Sent, and waiting for the bench.";
  form.append(word);
}

function ready(form) {
  waiting.delete(form);
  form.querySelector(".sent")?.remove();
}

const answers = () => fetch("/static/bench.js", { method: "HEAD", cache: "no-store" }).then(() => true, () => false);
