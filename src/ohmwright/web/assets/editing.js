// Every request carries the token of this run and the hash of the file that the sheet shows.
export function editing() {
  document.addEventListener("htmx:configRequest", (event) => {
    event.detail.headers["X-Bench-Token"] = document.body.dataset.token;
    const now = document.querySelector("#now");
    if (now && event.detail.verb !== "get") event.detail.parameters.opened = now.dataset.opened;
  });
  document.addEventListener("htmx:afterRequest", (event) => {
    const form = event.detail.elt;
    if (event.detail.xhr.getResponseHeader("x-put") !== "done" || !(form instanceof HTMLFormElement)) return;
    for (const field of form.elements) {
      if (field.name?.startsWith("set.")) form.elements[`was.${field.name.slice(4)}`].value = field.value;
    }
  });
}
