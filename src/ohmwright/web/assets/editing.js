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
    // What was sent is put; what was typed since then is not.
    for (const [name, value] of event.detail.requestConfig.formData) {
      const was = name.startsWith("set.") && form.elements[`was.${name.slice(4)}`];
      if (was) was.value = value;
    }
  });
  document.addEventListener("htmx:afterRequest", (event) => {
    if (event.detail.requestConfig.verb !== "get") setTimeout(() => goOn(event.detail.elt, event.detail.xhr));
  });
  document.addEventListener("htmx:sendError", (event) => unanswered(event.detail.requestConfig?.verb ?? "get"));
}

// After a change the work goes on where it was: what follows is shown or pointed to, and the keyboard keeps its place.
function goOn(form, xhr) {
  const follows = document.querySelector("#follows");
  if (!follows || xhr.status !== 200 || document.querySelector("#said")?.textContent.trim()) return;
  const { top, bottom } = follows.getBoundingClientRect();
  const seen = top < innerHeight - 80 && bottom > 0;
  const where = xhr.getResponseHeader("hx-replace-url");
  if (where) history.replaceState(null, "", where);
  if (form instanceof HTMLFormElement && document.contains(form)) {
    if (!seen && xhr.getResponseHeader("x-put") === "done") point(form);
    return;
  }
  if (document.activeElement !== document.body || document.querySelector("#find-part, #new-run")) return;
  document.querySelector("#chosen")?.focus({ preventScroll: true });
  if (!seen) follows.scrollIntoView();
}

// A word beside the field on a screen where what follows lies further down.
function point(form) {
  for (const old of document.querySelectorAll(".put-told")) old.remove();
  const at = document.activeElement?.closest(".put") ?? form.querySelector("button");
  const told = document.createElement("p");
  told.className = "put-told";
  told.setAttribute("role", "status");
  const link = document.createElement("a");
  link.href = "#follows";
  const heavy = [...document.querySelectorAll("#follows .word.danger")].length;
  link.textContent = heavy ? `What follows: ${heavy} ${heavy === 1 ? "danger" : "dangers"}` : "What follows";
  told.append("Put in. ", link);
  if (at && form.contains(at)) at.after(told);
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
