// Draws the charts of a page with the bundled ECharts, which the page loads before
// this file. Without scripts the table beside each chart holds the same figures.
//
// Markup:
//   <script src="{{asset "vendor/echarts/echarts-6.1.0.min.js"}}" defer></script>
//   <script type="module" src="{{asset "charts.js"}}"></script>
//   <script type="application/json" id="course-option">{{.Option}}</script>
//   <div class="chart" data-option="course-option" data-description="…" data-height="520"></div>
//
//   data-option       id of the data block with the ECharts option; its media lay the
//                     chart out anew for a narrow width
//   data-description  the paragraph that is read out instead of the picture
//   data-height       height in CSS pixels; without it the class decides
//
// The option is JSON and so holds no functions and no colours: any text that is the
// name of a custom property of site.css ("--accent") becomes its value. A data item
// {name, value: [time, y]} is told by its name, line by line: the date first, then
// the figures. Items without a name, and series that write a label into the picture,
// are not told.
//
// The chart takes the focus: left and right go from one date to the next, Home and
// End to the first and last, Esc leaves. What stands at the date is spoken.

// resolve copies an option with the values of the page's custom properties put in.
function resolve(value, styles) {
  if (Array.isArray(value)) return value.map((v) => resolve(v, styles));
  if (value && typeof value === "object") {
    return Object.fromEntries(Object.entries(value).map(([k, v]) => [k, resolve(v, styles)]));
  }
  if (typeof value === "string" && /^--[a-z0-9-]+$/.test(value)) return styles.getPropertyValue(value).trim();
  return value;
}

// told lists what there is to tell, by date: the lines, and a point to show it at.
function told(option) {
  const stops = new Map();
  (option.series ?? []).forEach((series, seriesIndex) => {
    if (series.label?.show) return;
    (series.data ?? []).forEach((item, dataIndex) => {
      if (!item?.name || !Array.isArray(item.value)) return;
      const [date, ...lines] = item.name.split("\n");
      const stop = stops.get(item.value[0]) ?? { date, lines: [], seriesIndex, dataIndex };
      stop.lines.push(...lines);
      stops.set(item.value[0], stop);
    });
  });
  return [...stops.entries()].sort(([a], [b]) => a - b).map(([, stop]) => stop);
}

const paperPX = 676;

class Chart {
  constructor(element) {
    this.element = element;
    this.option = JSON.parse(document.getElementById(element.dataset.option).textContent);
    this.stops = told(this.option);
    this.at = -1;
    if (element.dataset.height) element.style.height = `${element.dataset.height}px`;
    this.chart = echarts.init(element, null, { renderer: "svg" });
    this.live = document.createElement("p");
    this.live.className = "unseen";
    this.live.setAttribute("aria-live", "polite");
    element.after(this.live);
    element.tabIndex = 0;
    element.setAttribute("role", "application");
    element.setAttribute("aria-label", element.dataset.description ?? this.option.aria?.label?.description ?? "");
    element.addEventListener("keydown", (event) => this.key(event));
    element.addEventListener("blur", () => this.leave());
    this.draw();
    new ResizeObserver(() => this.onPaper || this.chart.resize()).observe(element);
  }

  // The page is laid out for paper after this is called, so that the width of paper
  // must be told: that of A4 and of Letter between the margins, in CSS pixels.
  print(onPaper) {
    this.onPaper = onPaper;
    this.element.style.width = onPaper ? `${paperPX}px` : "";
    this.chart.resize(onPaper ? { width: paperPX } : { width: "auto" });
    this.draw();
  }

  draw() {
    const option = resolve(this.option, getComputedStyle(document.documentElement));
    option.animation = false;
    option.aria = { enabled: false }; // ours is on the element
    // An HTML tooltip carries style attributes, which the content policy refuses.
    if (option.tooltip) option.tooltip = { ...option.tooltip, renderMode: "richText", confine: true };
    this.chart.setOption(option, true);
    this.element.querySelector("svg")?.setAttribute("aria-hidden", "true");
  }

  key(event) {
    const last = this.stops.length - 1;
    if (event.ctrlKey || event.altKey || event.metaKey || last < 0) return;
    const at = this.at < 0 && event.key === "ArrowLeft" ? last + 1 : this.at;
    const moves = { ArrowRight: Math.min(at + 1, last), ArrowLeft: Math.max(at - 1, 0), Home: 0, End: last };
    if (event.key === "Escape") this.leave();
    if (!(event.key in moves)) return;
    event.preventDefault();
    this.at = moves[event.key];
    const { date, lines, seriesIndex, dataIndex } = this.stops[this.at];
    this.live.textContent = [date, ...lines].join(", ");
    this.chart.dispatchAction({ type: "showTip", seriesIndex, dataIndex });
  }

  leave() {
    this.at = -1;
    this.live.textContent = "";
    this.chart.dispatchAction({ type: "hideTip" });
  }
}

const all = [...document.querySelectorAll("[data-option]")].map((element) => new Chart(element));
const redraw = () => all.forEach((c) => c.draw());

// Text is measured when it is placed, so that it is placed again in the page's own type.
document.fonts.ready.then(redraw);
matchMedia("(prefers-color-scheme: dark)").addEventListener("change", redraw);
// Paper is light whatever the screen is: the class gives the light colours.
const print = (onPaper) => {
  document.documentElement.classList.toggle("on-paper", onPaper);
  all.forEach((c) => c.print(onPaper));
};
addEventListener("beforeprint", () => print(true));
addEventListener("afterprint", () => print(false));
