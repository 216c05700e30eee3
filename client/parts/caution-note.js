/*
 * Cautions, shown before the step they belong to. Renders nothing when there are none.
 *
 * Usage: <caution-note .cautions=${["Support the blade before ..."]}></caution-note>
 */
import { LitElement, html, nothing } from "../vendor/lit.js";

class CautionNote extends LitElement {
  static properties = { cautions: { attribute: false } };

  createRenderRoot() {
    return this;
  }

  render() {
    if (!this.cautions?.length) return nothing;
    return html`
      <div class="caution" role="note">
        <strong>Caution</strong>
        ${this.cautions.map((caution) => html`<p>${caution}</p>`)}
      </div>`;
  }
}

customElements.define("caution-note", CautionNote);
