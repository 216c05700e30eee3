/*
 * One measured value with its unit and limits, or one line of text.
 *
 * Usage: <reading-field .field=${field} .reading=${reading} .tools=${register} .trend=${"#/..."}
 *   @reading=${(event) => event.detail}></reading-field>
 */
import { html, live } from "../vendor/lit.js";
import { field_frame, number_input, tell } from "./field_frame.js";
import { in_card_unit, unit_choice } from "./fitting_unit.js";
import { limits_by_input } from "./limits_by.js";
import { worded_field } from "./limits_in_force.js";
import { MeasuredField } from "./measured_field.js";
import { with_unit, with_value } from "./reading.js";
import { stop_lines } from "./stop_lines.js";
import { worded_host } from "./worded_host.js";

class ReadingField extends MeasuredField {
  words() {
    const { field, reading } = this;
    return html`
      <input id="${field.field}-0" aria-labelledby="${field.field}-title" maxlength="120" autocomplete="off" enterkeyhint="done"
        .value=${live(reading.values[0])} @input=${(event) => tell(this, with_value(reading, 0, event.target.value))}>`;
  }

  number() {
    const { field, reading } = this;
    const id = `${field.field}-0`;
    return number_input({
      id, label: `${field.field}-title`, limits: field.limits ? `${field.field}-limits` : undefined, value: reading.values[0],
      unit_input: unit_choice({ id, of: field.title, unit: field.unit, chosen: reading.unit,
        change: (unit) => tell(this, with_unit(reading, unit, this.tools)) }),
      change: (typed) => tell(this, with_value(reading, 0, typed)),
    });
  }

  render() {
    const { field, reading } = this;
    if (field.kind === "text") return field_frame(this, this.words());
    return field_frame(worded_host(this, worded_field(field, reading)), [
      limits_by_input(this), this.number(), in_card_unit(field, reading, reading.values[0]),
      this.typing.left() ? stop_lines(field, reading) : "",
    ]);
  }
}

customElements.define("reading-field", ReadingField);
