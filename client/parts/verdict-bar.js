/*
 * The verdict at the thumb's place. It only says what was tapped; the page decides what follows.
 *
 * Usage:
 *   <verdict-bar .not_applicable=${true} .opened=${"fail"} ?settles=${true} ?busy=${saving}
 *     @verdict=${(event) => event.detail}></verdict-bar>     "pass" | "fail" | "not_applicable"
 */
import { LitElement, html, nothing } from "../vendor/lit.js";
import { result_words } from "./status_words.js";

class VerdictBar extends LitElement {
  static properties = {
    not_applicable: { attribute: false },
    opened: { attribute: false },
    settles: { type: Boolean },
    busy: { type: Boolean },
  };

  createRenderRoot() {
    return this;
  }

  tap(verdict) {
    this.dispatchEvent(new CustomEvent("verdict", { detail: verdict }));
  }

  words(verdict) {
    const result = result_words(verdict);
    if (this.opened === verdict) return `Record ${result.toLowerCase()}`;
    return this.settles ? `Settle: ${result.toLowerCase()}` : result;
  }

  button(verdict) {
    return html`
      <button type="button" class="verdict ${verdict}" ?disabled=${this.busy}
        aria-expanded=${verdict === "pass" ? nothing : String(this.opened === verdict)}
        @click=${() => this.tap(verdict)}>
        ${this.words(verdict)}</button>`;
  }

  render() {
    return html`
      <div role="group" aria-label="Verdict" class=${this.settles ? "settles" : ""}>
        ${this.button("fail")}
        ${this.not_applicable ? this.button("not_applicable") : nothing}
        ${this.button("pass")}
      </div>`;
  }
}

customElements.define("verdict-bar", VerdictBar);
