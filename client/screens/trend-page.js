/*
 * How a followed reading stands among those of the aircraft's past cards: the plot, and what it says in words.
 *
 * Usage: <trend-page .card_id=${card} .item_id=${item} .field_id=${field}></trend-page>
 */
import { LitElement, html, live, nothing } from "../vendor/lit.js";
import { field_trend } from "../device/trends.js";
import { page_head } from "../parts/page_head.js";
import { trend_picture } from "../parts/trend_picture.js";
import { trend_sentences } from "../parts/trend_words.js";
import { StoreWatch } from "./open_card.js";
import "../parts/trend-plot.js";

class TrendPage extends LitElement {
  static properties = { card_id: { attribute: false }, item_id: { attribute: false }, field_id: { attribute: false },
    view: { state: true }, station: { state: true } };

  constructor() {
    super();
    new StoreWatch(this);
  }

  createRenderRoot() {
    return this;
  }

  async read() {
    this.view = await field_trend(this.card_id, this.item_id, this.field_id);
    this.station ??= most_urgent(this.view?.series ?? [])?.station;
  }

  stations({ series }) {
    if (series.length < 2) return nothing;
    return html`
      <fieldset class="field"><legend>Where</legend>
        <div class="options">${series.map(({ station }) => html`<label class="option">
          <input type="radio" name="station" .checked=${live(this.station === station)}
            @change=${() => { this.station = station; }}>
          <span>${station}</span></label>`)}</div></fieldset>`;
  }

  trend(series, field) {
    const sentences = trend_sentences(series, field);
    return html`
      <trend-plot .picture=${trend_picture(series)} .unit=${series.unit}
        .label=${`Plot. ${sentences.join(" ")}`}></trend-plot>
      ${legend(series)}
      <div class="trend-words ${series.projection.verdict}">
        ${sentences.map((sentence) => html`<p>${sentence}</p>`)}</div>
      <p class="caution-line">A projection is no limit and no permission. The reading counts that is taken on the day.</p>
      ${points(series)}
      <details><summary>How this is worked out</summary>
        <p>The line is the median of the slopes between all pairs of points (Theil-Sen), so one odd reading does not turn
          it. The band and the numbers in brackets are its 90&nbsp;% interval (Sen 1968). Only what stands on a card
          counts.</p></details>`;
  }

  render() {
    const { view } = this;
    if (view === undefined) return html`<p class="quiet">Reading the past cards …</p>`;
    if (view === null) {
      return html`${page_head({ title: "This reading is not on this phone" })}
        <p>Sync where there is a network, then look again.</p>`;
    }
    const { card, item, field, series } = view;
    const shown = series.find(({ station }) => station === this.station) ?? series[0];
    return html`
      ${page_head({ back: `#/card/${this.card_id}/item/${this.item_id}`, back_words: item.title,
        above: `Trend · ${card.aircraft.registration}, up to ${card.number}`, title: field.title })}
      ${this.stations(view)}
      ${shown ? this.trend(shown, field)
        : html`<p>No card of ${card.aircraft.registration} up to this one has this reading with the hours of the
          airframe.</p>`}`;
  }
}

/* What the marks of the plot mean; only those that are there. */
function legend({ points: all, limits, projection }) {
  const later = all.slice(1).some((point) => point.new_part);
  return html`<ul class="trend-legend">
    <li class="now">reading</li>
    ${later ? html`<li class="before">of an earlier part</li>` : nothing}
    ${projection.slope === null ? nothing : html`<li class="line">line and its interval</li>`}
    ${limits.min ?? limits.max ? html`<li class="limit">limit</li>` : nothing}
  </ul>`;
}

function points({ points: all, unit }) {
  return html`
    <details><summary>The readings</summary>
      <table class="trend-points">
        <thead><tr><th scope="col">Card</th><th scope="col">Hours</th><th scope="col">Value, ${unit}</th></tr></thead>
        <tbody>${all.toReversed().map(({ card, at, value, new_part }) => html`
          <tr><th scope="row">${card}${new_part ? html` <span class="quiet">new part</span>` : nothing}</th>
            <td>${at}</td><td>${value}</td></tr>`)}
        </tbody></table></details>`;
}

/* The station to look at first: past its limit, else the one that reaches it first. */
function most_urgent(series) {
  const due = ({ projection }) => (projection.verdict === "past_limit" ? -1 : Number(projection.hours ?? Infinity));
  return series.toSorted((a, b) => due(a) - due(b))[0];
}

customElements.define("trend-page", TrendPage);
