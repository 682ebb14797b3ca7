// Replaces each still chart by a live one, in the theme and to the room there is; reads values; hands on a dragged band.
const library = new URL(document.getElementById("figures-script").dataset.library, location.href);
const darkRoom = matchMedia("(prefers-color-scheme: dark)");
const calm = matchMedia("(prefers-reduced-motion: reduce)");
const figures = [...document.querySelectorAll("figure[data-chart]")];
const drawn = new Map();
let ready = null;
const loaded = () => (ready ??= import(library.href));
const theme = () => document.documentElement.dataset.theme ?? (darkRoom.matches ? "dark" : "light");

function widen(part, width) {
  if (Array.isArray(part)) return part.forEach((one) => widen(one, width));
  if (part === null || typeof part !== "object") return;
  if (typeof part.width === "number" && (part.layer || part.mark)) part.width = width;
  for (const key of ["layer", "vconcat"]) if (part[key]) widen(part[key], width);
}

async function draw(figure) {
  const room = figure.clientWidth;
  const size = room < 640 ? "narrow" : "wide";
  const query = new URLSearchParams(figure.dataset.query);
  query.set("theme", theme());
  query.set("size", size);
  const [answer] = await Promise.all([fetch(`${figure.dataset.chart}.json?${query}`), loaded()]);
  if (!answer.ok) return;
  const { spec, reading } = await answer.json();
  const live = figure.querySelector(".live");
  const old = drawn.get(figure);
  let over = Number(figure.dataset.over ?? (size === "narrow" ? 132 : 190));
  const show = async () => {
    widen(spec, Math.max(160, Math.min(960, room - over)));
    return window.vegaEmbed(live, structuredClone(spec), {
      mode: "vega-lite", ast: true, actions: false, renderer: "svg", defaultStyle: false,
      tooltip: { theme: "page", disableDefaultStyle: true },
    });
  };
  let result = await show();
  figure.classList.add("drawn");
  const wide = live.querySelector("svg")?.getBoundingClientRect().width ?? 0;
  if (wide > room || (wide < room - 60 && size === "wide")) {
    over += wide - room + 4; // the labels took more or less room than supposed
    result.finalize();
    result = await show();
  }
  if (old) old.finalize();
  drawn.set(figure, result);
  live.querySelector("svg")?.setAttribute("aria-hidden", "true"); // the words about it stand on .live
  if (reading) read(figure, reading);
  if (figure.dataset.band) listen(result.view);
}

function read(figure, { fields, rows }) {
  const input = figure.querySelector(".reader input");
  if (!input || rows.length === 0) return;
  const output = figure.querySelector(".reader output");
  const say = (touched) => {
    const row = rows[Number(input.value)];
    output.replaceChildren(...fields.map(([key, title]) => {
      const cell = document.createElement("span");
      const name = document.createElement("small");
      name.textContent = title;
      cell.append(name, row[key]);
      return cell;
    }));
    input.setAttribute("aria-valuetext", `${row.at} ${fields[0][1]}`);
    const tuple = [{ unit: "", fields: [{ type: "E", field: "x" }], values: [row.x] }];
    const view = drawn.get(figure).view;
    if (touched && "at_0_store" in view.getState({ data: () => true }).data) view.data("at_0_store", tuple).runAsync();
  };
  input.max = String(rows.length - 1);
  input.value = String(Math.min(rows.length - 1, Number(input.value) || Math.floor(rows.length / 2)));
  input.oninput = () => say(true);
  figure.classList.add("read");
  say(false);
}

function listen(view) {
  const form = document.getElementById("ask");
  const low = document.getElementById("band-low");
  const high = document.getElementById("band-high");
  if (!form || !low || !high) return;
  let ends = null;
  view.addSignalListener("band", (_, value) => {
    const span = Object.values(value)[0];
    if (!Array.isArray(span)) return;
    const step = Number(low.step) || 50;
    ends = span.map((one) => Math.round(one / step) * step).sort((a, b) => a - b);
    [low.value, high.value] = ends.map(String);
  });
  addEventListener("pointerup", () => {
    if (ends && ends[1] > ends[0]) form.requestSubmit();
    ends = null;
  });
}

const begun = new Set();
const near = new IntersectionObserver((seen) => {
  for (const { target, isIntersecting } of seen) {
    if (!isIntersecting || begun.has(target)) continue;
    begun.add(target);
    draw(target).then(settle);
  }
  settle(); // where all charts lie further down, what is in sight is ready
}, { rootMargin: "600px" });

function settle() {
  if ([...begun].every((one) => drawn.has(one))) document.documentElement.dataset.ready = "yes";
}

let room = innerWidth;
let waiting = 0;
const again = () => begun.forEach((one) => draw(one));
addEventListener("resize", () => {
  if (innerWidth === room) return;
  room = innerWidth;
  clearTimeout(waiting);
  waiting = setTimeout(again, 200);
});
darkRoom.addEventListener("change", again);
if (calm.matches) document.documentElement.dataset.calm = "yes";
figures.forEach((one) => near.observe(one));
if (figures.length === 0) document.documentElement.dataset.ready = "yes";
