/*
 * A bolt head from above with its paint stripe: the status of one item.
 * The shape carries the meaning; colour only helps. Size comes from the stylesheet.
 *
 * Usage:
 *   <witness-mark .item=${{ status: "passed", countersignature: "given" }}></witness-mark>
 *   <witness-mark .item=${state_item} words></witness-mark>     with the word beside it
 */
import { LitElement, html, svg, nothing } from "../vendor/lit.js";
import { awaits_or_has_second, item_words } from "./status_words.js";

const band = (kind, angle, from, to) => svg`
  <g transform="rotate(${angle} 24 24)">
    <line class="edge" x1=${22.5 + from} x2=${25.5 + to} y1="24" y2="24"></line>
    <line class=${kind} x1=${24 + from} x2=${24 + to} y1="24" y2="24"></line>
  </g>`;

const STRIPES = {
  open: () => nothing,
  passed: () => band("paint", -38, 1, 22),
  failed: () => [band("paint", -38, 16, 22), band("paint", 42, 1, 9)],
  corrected: () => [band("paint", -38, 16, 22), band("bare", 42, 1, 21)],
  disputed: () => [band("paint", -75, 1, 22), band("bare", 8, 1, 22)],
  rejected: () => [band("paint", -38, 1, 4), band("paint", -38, 9.5, 12.5), band("paint", -38, 18, 21)],
  not_applicable: () => svg`<line class="strike" x1="5" y1="43" x2="43" y2="5"></line>`,
};

const CROSSING = {
  given: () => band("second", 52, -22, 22),
  needed: () => svg`<line class="awaited" x1="9.8" y1="5.9" x2="38.2" y2="42.1"></line>`,
};

class WitnessMark extends LitElement {
  static properties = { item: { attribute: false }, words: { type: Boolean } };

  constructor() {
    super();
    this.words = false;
  }

  createRenderRoot() {
    return this;
  }

  render() {
    const { status, countersignature } = this.item;
    const words = item_words(this.item);
    return html`
      <svg viewBox="0 0 48 48" class=${status} role=${this.words ? nothing : "img"}
        aria-label=${this.words ? nothing : words} aria-hidden=${this.words ? "true" : nothing}>
        <polygon class="head" points="24,10.5 35.7,17.25 35.7,30.75 24,37.5 12.3,30.75 12.3,17.25"></polygon>
        <circle class="face" cx="24" cy="24" r="8"></circle>
        ${awaits_or_has_second(this.item) ? CROSSING[countersignature]?.() : nothing}
        ${STRIPES[status]()}
      </svg>
      ${this.words ? html`<span class="word">${words}</span>` : nothing}`;
  }
}

customElements.define("witness-mark", WitnessMark);
