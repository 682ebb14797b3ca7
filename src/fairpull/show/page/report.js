// Makes the still figures answer: draws each chart to the room it has, in the theme of the page, and reads values.
const given = JSON.parse(document.getElementById("charts").textContent);
const dark = matchMedia("(prefers-color-scheme: dark)");
const figures = [...document.querySelectorAll("figure[data-chart]")];
const views = new Map();
const TAKEN = { png: 2, svg: 1 };

function widen(part, width) {
  if (Array.isArray(part)) return part.forEach((one) => widen(one, width));
  if (part === null || typeof part !== "object") return;
  if (typeof part.width === "number" && (part.layer || part.mark)) part.width = width;
  for (const key of ["layer", "vconcat"]) if (part[key]) widen(part[key], width);
}

function documentFor(figure) {
  const room = figure.clientWidth;
  const size = room < 640 ? "narrow" : "wide";
  const theme = dark.matches ? "dark" : "light";
  const spec = structuredClone(given.charts[figure.dataset.chart][`${theme}-${size}`]);
  const names = new Set([...JSON.stringify(spec).matchAll(/rows-[0-9a-f]{16}/g)].map((one) => one[0]));
  spec.datasets = Object.fromEntries([...names].map((name) => [name, given.sheets[name]]));
  const over = size === "narrow" ? 132 : Number(figure.dataset.over) + 8;
  widen(spec, Math.max(180, Math.min(900, room - over)));
  return spec;
}

async function draw(figure) {
  const old = views.get(figure);
  const live = figure.querySelector(".live");
  const result = await window.vegaEmbed(live, documentFor(figure), {
    mode: "vega-lite", actions: false, renderer: "svg", tooltip: { theme: "page" },
  });
  if (old) old.finalize();
  views.set(figure, result);
  figure.classList.add("drawn");
}

function take(figure, kind) {
  if (kind === "print") {
    figure.classList.add("taken");
    document.body.classList.add("one-figure");
    window.print();
    document.body.classList.remove("one-figure");
    return figure.classList.remove("taken");
  }
  const name = `${figure.dataset.chart}.${kind}`;
  return views.get(figure).view.toImageURL(kind, TAKEN[kind]).then((address) => {
    const link = document.createElement("a");
    link.download = name;
    link.href = address;
    link.click();
  });
}

function mark(figure, x) {
  const result = views.get(figure);
  if (!result) return;
  const tuple = [{ unit: "", fields: [{ type: "E", field: "x" }], values: [x] }];
  result.view.data("at_0_store", tuple).runAsync();
}

function reader(figure) {
  const input = figure.querySelector(".reader input");
  if (!input) return;
  const { fields, rows } = given.reading[figure.dataset.chart];
  const output = figure.querySelector(".reader output");
  const say = (touched) => {
    const row = rows[Number(input.value)];
    if (!row) return;
    output.replaceChildren(...fields.map(([key, title]) => {
      const cell = document.createElement("span");
      const name = document.createElement("small");
      name.textContent = title;
      cell.append(name, row[key]);
      return cell;
    }));
    input.setAttribute("aria-valuetext", `${row.at} ${fields[0][1]}`);
    if (touched) mark(figure, row.x);
  };
  input.max = String(rows.length - 1);
  input.value = String(Math.floor(rows.length / 2));
  input.addEventListener("input", () => say(true));
  say(false);
}

let room = innerWidth;
let waiting = 0;
async function drawAll() {
  for (const figure of figures) await draw(figure);
}
addEventListener("resize", () => {
  if (innerWidth === room) return;
  room = innerWidth;
  clearTimeout(waiting);
  waiting = setTimeout(drawAll, 200);
});
dark.addEventListener("change", drawAll);
for (const figure of figures) {
  reader(figure);
  for (const button of figure.querySelectorAll("button[data-take]"))
    button.addEventListener("click", () => take(figure, button.dataset.take));
}
await drawAll();
document.documentElement.dataset.ready = "yes";
