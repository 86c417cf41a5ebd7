// Every request carries the token of this run and the hash of the file that the sheet shows.
export function editing() {
  document.addEventListener("htmx:configRequest", (event) => {
    event.detail.headers["X-Bench-Token"] = document.body.dataset.token;
    const now = document.querySelector("#now");
    if (now && event.detail.verb !== "get") event.detail.parameters.opened = now.dataset.opened;
    const rows = document.querySelector("#rows");
    if (rows && event.detail.verb !== "get") event.detail.parameters.rows = rows.dataset.of;
  });
  // Enter both changes a field and submits its form: what is put already is not asked for again.
  document.addEventListener("htmx:configRequest", (event) => {
    const form = event.detail.elt;
    if (!form.matches?.("form.fields") || document.querySelector("#said")?.textContent.trim()) return;
    const puts = [...form.elements].filter((f) => f.name?.startsWith("set."));
    if (puts.length && puts.every((f) => form.elements[`was.${f.name.slice(4)}`]?.value === f.value)) event.preventDefault();
  });
  document.addEventListener("htmx:afterRequest", (event) => {
    const form = event.detail.elt;
    if (event.detail.xhr.getResponseHeader("x-put") !== "done" || !(form instanceof HTMLFormElement)) return;
    for (const field of form.elements) {
      if (field.name?.startsWith("set.")) form.elements[`was.${field.name.slice(4)}`].value = field.value;
    }
  });
  document.addEventListener("htmx:sendError", (event) => unanswered(event.detail.requestConfig?.verb ?? "get"));
}

// The bench was ended under an open sheet: what is typed stays typed, and is told not to be put.
export function unanswered(verb, form = null) {
  let box = document.querySelector("#said");
  if (!box || form) {
    box?.removeAttribute("id");
    box = document.createElement("div");
    box.id = "said";
    box.className = "said";
    if (form) form.append(box);
    else document.querySelector("main").prepend(box);
  }
  box.setAttribute("role", "alert");
  const told = document.createElement("p");
  const what = document.createElement("b");
  what.textContent = verb === "get" ? "The bench does not answer." : "Not put: the bench does not answer.";
  const remedy = verb === "get" ? "Start it again, then open this sheet anew." : "What you typed still stands here. Start the bench again, then put it once more.";
  told.append(what, ` ${remedy}`);
  box.replaceChildren(told);
  if (form) box.scrollIntoView({ block: "nearest" });
}
