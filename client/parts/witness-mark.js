/*
 * A bolt head from above with its paint stripe: the status of one item.
 * The shape carries the meaning; colour only helps. Size comes from the stylesheet.
 *
 * Usage:
 *   <witness-mark .item=${{ status: "passed", countersignature: "given" }}></witness-mark>
 *   <witness-mark .item=${state_item} words></witness-mark>     with the word beside it
 */
import { LitElement, html, svg, nothing } from "../vendor/lit.js";
import { item_words } from "./status_words.js";

const band = (kind, angle, from, to) => svg`
  <g transform="rotate(${angle} 24 24)">
    <line class="edge" x1=${24 + from} x2=${24 + to} y1="24" y2="24"></line>
    <line class=${kind} x1=${24 + from} x2=${24 + to} y1="24" y2="24"></line>
  </g>`;

const STRIPES = {
  open: () => nothing,
  passed: () => band("paint", -35, 0, 22),
  failed: () => [band("paint", -35, 17, 22), band("paint", 45, 0, 13)],
  corrected: () => [band("paint", -35, 17, 22), band("bare", 45, 0, 22)],
  disputed: () => [band("paint", -70, 0, 22), band("bare", 10, 0, 22)],
  not_applicable: () => svg`<line class="strike" x1="5" y1="43" x2="43" y2="5"></line>`,
};

const CROSSING = {
  given: () => band("second", 55, -22, 22),
  needed: () => svg`<line class="awaited" x1="11.4" y1="6" x2="36.6" y2="42"></line>`,
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
        <polygon class="head" points="24,8 37.9,16 37.9,32 24,40 10.1,32 10.1,16"></polygon>
        <circle class="face" cx="24" cy="24" r="9.5"></circle>
        ${status === "open" ? nothing : CROSSING[countersignature]?.()}
        ${STRIPES[status]()}
      </svg>
      ${this.words ? html`<span class="word">${words}</span>` : nothing}`;
  }
}

customElements.define("witness-mark", WitnessMark);
