/*
 * One measured value with its unit and limits, or one line of text.
 *
 * Usage: <reading-field .field=${field} .reading=${reading} .tools=${register} @reading=${(event) => event.detail}></reading-field>
 */
import { LitElement, html, live } from "../vendor/lit.js";
import { field_frame, number_input, tell } from "./field_frame.js";
import { with_value } from "./reading.js";

class ReadingField extends LitElement {
  static properties = { field: { attribute: false }, reading: { attribute: false }, tools: { attribute: false } };

  createRenderRoot() {
    return this;
  }

  render() {
    const { field, reading } = this;
    const change = (typed) => tell(this, with_value(reading, 0, typed));
    const id = `${field.field}-0`;
    const label = `${field.field}-title`;
    if (field.kind === "text") {
      return field_frame(this, html`
        <input id=${id} aria-labelledby=${label} maxlength="120" autocomplete="off" enterkeyhint="done"
          .value=${live(reading.values[0])} @input=${(event) => change(event.target.value)}>`);
    }
    const limits = field.limits ? `${field.field}-limits` : undefined;
    return field_frame(this, number_input({ id, label, limits, value: reading.values[0], unit: reading.unit, change }));
  }
}

customElements.define("reading-field", ReadingField);
