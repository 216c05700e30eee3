/*
 * One of a few words, as large buttons: the colour of a sample, the state of a seal.
 *
 * Usage: <choice-field .field=${field} .reading=${reading} @reading=${(event) => event.detail}></choice-field>
 */
import { LitElement, html, live } from "../vendor/lit.js";
import { field_frame, tell } from "./field_frame.js";
import { with_value } from "./reading.js";

class ChoiceField extends LitElement {
  static properties = { field: { attribute: false }, reading: { attribute: false } };

  createRenderRoot() {
    return this;
  }

  option(option) {
    const { field, reading } = this;
    return html`
      <label class="option">
        <input type="radio" name=${field.field} .checked=${live(reading.values[0] === option)}
          @change=${() => tell(this, with_value(reading, 0, option))}>
        <span>${option}</span>
      </label>`;
  }

  render() {
    return field_frame(this, html`
      <div class="options">${this.field.options.map((option) => this.option(option))}</div>`);
  }
}

customElements.define("choice-field", ChoiceField);
