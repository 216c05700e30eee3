/*
 * The plot of a trend: points, limits, the line with its band, new parts, and where the line meets its limit.
 *
 * Usage: <trend-plot .picture=${trend_picture(series)} .unit=${"in"} .label=${"what it shows, in words"}></trend-plot>
 */
import { LitElement, html, nothing } from "../vendor/lit.js";

const HEIGHT = 300;
const ACROSS = 3 / 4;
const WORD = 0.75;

class TrendPlot extends LitElement {
  static properties = { picture: { attribute: false }, unit: { attribute: false }, label: { attribute: false },
    absent: { state: true } };

  createRenderRoot() {
    return this;
  }

  connectedCallback() {
    super.connectedCallback();
    this.looks = new MutationObserver(() => this.draw());
    this.looks.observe(document.documentElement, { attributeFilter: ["data-theme"] });
    this.sizes = new ResizeObserver(() => this.fit());
    this.sizes.observe(this);
  }

  disconnectedCallback() {
    super.disconnectedCallback();
    this.looks.disconnect();
    this.sizes.disconnect();
    this.plot?.destroy();
    this.plot = null;
  }

  /* The library is large and few pages need it: it is loaded here, from the same kept files as the rest. */
  async updated(changed) {
    if (!changed.has("picture")) return;
    try {
      this.library ??= (await import("../vendor/uplot.js")).default;
      await document.fonts.load("1rem B612");
    } catch (refusal) {
      if (!(refusal instanceof TypeError)) throw refusal;
      this.absent = true;
      return;
    }
    this.draw();
  }

  draw() {
    const place = this.querySelector(".plot");
    if (!this.library || !place || !this.clientWidth) return;
    this.plot?.destroy();
    const drawn = options(this.picture, this.unit, look(this), size(this));
    this.plot = new this.library(drawn, columns(this.picture), place);
  }

  fit() {
    if (this.plot && this.plot.width !== this.clientWidth) this.plot.setSize(size(this));
    else if (!this.plot) this.draw();
  }

  render() {
    if (this.absent) {
      return html`<p class="quiet">The drawing is not on this phone. Reload the app where it has a network.</p>`;
    }
    return html`<link rel="stylesheet" href="./vendor/uplot.css">
      <div class="plot" role="img" aria-label=${this.label ?? nothing}></div>`;
  }
}

function size(host) {
  const width = host.clientWidth;
  return { width, height: Math.max(HEIGHT * ACROSS, Math.min(HEIGHT, width * ACROSS)) };
}

/* The colours of the theme at hand. They are hexadecimal in app.css, so two digits more make them transparent. */
function look(host) {
  const style = getComputedStyle(host);
  const colour = (name) => style.getPropertyValue(name).trim();
  return { ink: colour("--ink"), hair: colour("--hair"), good: colour("--good"), limit: colour("--stripe"),
    paper: colour("--paper"), fault: colour("--fault"), band: `${colour("--good")}38`,
    word: Math.round(parseFloat(style.fontSize) * WORD), weight: style.fontWeight };
}

/* One row of hours for all, and a column for each thing drawn: null where it is not. */
function columns({ now, before, line, limits, x }) {
  const rows = [...now.map(([at, y]) => ({ at, now: y })), ...before.map(([at, y]) => ({ at, before: y })),
    ...(line ?? []).map(({ x: at, value, low, high }) => ({ at, value, low, high })),
    ...x.map((at) => ({ at, ends: true }))];
  rows.sort((a, b) => a.at - b.at);
  const column = (name) => rows.map((row) => row[name] ?? null);
  const edge = (limit) => rows.map((row) => (row.ends ? limit : null));
  return [column("at"), column("high"), column("low"), edge(limits.max), edge(limits.min), column("value"), column("before"),
    column("now")];
}

function options(picture, unit, looks, { width, height }) {
  const drawn = (stroke, more = {}) => ({ stroke, width: 3, spanGaps: true, points: { show: false }, ...more });
  const dots = (fill) => ({ stroke: looks.ink, width: 0, paths: () => null,
    points: { show: true, size: 11, width: 2, stroke: looks.ink, fill } });
  // As wide as the longest number, and the gap to it.
  const beside = (plot, values) => looks.word * (1.2 + 0.62 * Math.max(...(values ?? [""]).map(({ length }) => length)));
  return {
    width, height, legend: { show: false }, cursor: { show: false }, padding: [looks.word, looks.word, 0, 0],
    scales: { x: { time: false, range: () => picture.x }, y: { range: () => picture.y } },
    axes: [axis(looks, { label: "Hours of the airframe", size: looks.word * 2 }),
      axis(looks, { label: unit, size: beside })],
    series: [{}, drawn(undefined, { width: 0 }), drawn(undefined, { width: 0 }), drawn(looks.limit, { width: 4 }),
      drawn(looks.limit, { width: 4 }), drawn(looks.good), dots(looks.paper), dots(looks.good)],
    bands: [{ series: [1, 2], fill: looks.band }],
    hooks: { draw: [(plot) => draw_marks(plot, picture, looks)] },
  };
}

function axis({ ink, hair, word, weight }, more) {
  const font = `${weight} ${word}px B612`;
  return { font, labelFont: font, labelSize: word * 1.6, labelGap: 0, stroke: ink, gap: 4, space: 56,
    grid: { stroke: hair, width: 1, dash: [2, 4] }, ticks: { stroke: hair, size: 4 },
    values: (plot, splits, _axis, _space, step) => splits.map((split) => split.toFixed(decimals(step))), ...more };
}

const decimals = (step) => (String(Number(step.toFixed(9))).split(".")[1] ?? "").length;

/* What no column can say: the limit's name, where a new part came, where the line meets its limit. */
function draw_marks(plot, { limits, fitted, crossing, x }, looks) {
  const { ctx, bbox } = plot;
  const scale = devicePixelRatio;
  ctx.save();
  Object.assign(ctx, { font: `${looks.weight} ${looks.word * scale}px B612`, textBaseline: "alphabetic", lineJoin: "round" });
  fitted.forEach((hours, index) => new_part(plot, [hours, fitted[index + 1]], looks, scale));
  for (const [name, limit] of Object.entries(limits)) {
    if (limit === null) continue;
    const below = name === "max" ? -7 : 7 + looks.word * 0.75;
    const [left, down] = [plot.valToPos(x[0], "x", true), plot.valToPos(limit, "y", true)];
    write(ctx, "limit", left + 6 * scale, down + below * scale, looks);
  }
  if (crossing) {
    const [across, down] = [plot.valToPos(crossing.x, "x", true), plot.valToPos(crossing.value, "y", true)];
    upright(ctx, across, down, bbox.top + bbox.height, looks, scale);
    ring(ctx, across, down, looks, scale);
  }
  ctx.restore();
}

/* Where the `next` new part stands close by, its line says enough. */
function new_part({ ctx, bbox, valToPos }, [hours, next], looks, scale) {
  const across = valToPos(hours, "x", true);
  upright(ctx, across, bbox.top, bbox.top + bbox.height, looks, scale);
  const wide = ctx.measureText("new part").width + 6 * scale;
  if (next !== undefined && valToPos(next, "x", true) - across < 2 * wide + 12 * scale) return;
  const fits = across + wide < bbox.left + bbox.width;
  write(ctx, "new part", fits ? across + 6 * scale : across - wide, bbox.top + bbox.height / 2, looks);
}

/* Letters on a rim of paper, so that no line of the plot runs through them. */
function write(ctx, words, across, down, { ink, paper, word }) {
  Object.assign(ctx, { textAlign: "left", fillStyle: ink, strokeStyle: paper, lineWidth: word / 2 });
  ctx.strokeText(words, across, down);
  ctx.fillText(words, across, down);
}

function ring(ctx, across, down, { paper, fault }, scale) {
  Object.assign(ctx, { fillStyle: paper, strokeStyle: fault, lineWidth: 3 * scale });
  ctx.beginPath();
  ctx.arc(across, down, 7 * scale, 0, 2 * Math.PI);
  ctx.fill();
  ctx.stroke();
}

function upright(ctx, across, from, to, { ink }, scale) {
  Object.assign(ctx, { strokeStyle: ink, lineWidth: 1.5 * scale });
  ctx.beginPath();
  ctx.setLineDash([5 * scale, 4 * scale]);
  ctx.moveTo(across, from);
  ctx.lineTo(across, to);
  ctx.stroke();
  ctx.setLineDash([]);
}

customElements.define("trend-plot", TrendPlot);
