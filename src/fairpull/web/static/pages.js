// Small helps that pages also do without: dragging builds into order, and keeping what was typed.
for (const list of document.querySelectorAll("[data-order]")) {
  let taken = null;
  for (const item of list.children) item.draggable = true;
  list.addEventListener("dragstart", (event) => {
    taken = event.target.closest("[data-order] > *");
    event.dataTransfer.setData("text/plain", "");
  });
  list.addEventListener("dragover", (event) => {
    const over = event.target.closest("[data-order] > *");
    if (!taken || !over || over === taken || over.parentNode !== list) return;
    event.preventDefault();
    const box = over.getBoundingClientRect();
    over[event.clientY > box.top + box.height / 2 ? "after" : "before"](taken);
  });
  list.addEventListener("drop", (event) => event.preventDefault());
  list.addEventListener("dragend", () => {
    if (taken) (list.closest("form") ?? document.getElementById("ask"))?.requestSubmit();
    taken = null;
  });
}

// A form marked data-draft is kept in this tab until it is sent, so that a lost connection loses no words.
for (const form of document.querySelectorAll("form[data-draft]")) {
  const key = `draft ${location.pathname} ${form.dataset.draft}`;
  const fields = () => [...form.elements].filter((one) => one.name && !["hidden", "file", "password"].includes(one.type));
  const kept = JSON.parse(sessionStorage.getItem(key) ?? "{}");
  for (const field of fields())
    if (field.name in kept && field.value === field.defaultValue && "defaultValue" in field) field.value = kept[field.name];
  form.addEventListener("input", () =>
    sessionStorage.setItem(key, JSON.stringify(Object.fromEntries(fields().map((one) => [one.name, one.value])))));
  if (form.dataset.sent === "yes") sessionStorage.removeItem(key);
  form.addEventListener("submit", () => sessionStorage.removeItem(key));
}

if (!document.getElementById("figures-script")) document.documentElement.dataset.ready = "yes";
