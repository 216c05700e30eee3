/*
 * How much was used for each hour: what was filled in, and the hour-meter last time and now.
 *
 * Usage: <rate-field .field=${field} .reading=${reading} .tools=${register} .trend=${"#/..."}
 *   @reading=${(event) => event.detail}></rate-field>
 */
import { html, nothing } from "../vendor/lit.js";
import { hours_run } from "../rules/measurement.js";
import { field_frame, tell } from "./field_frame.js";
import { in_card_unit, unit_choice } from "./fitting_unit.js";
import { input_of, value_of } from "./input_of.js";
import { MeasuredField } from "./measured_field.js";
import { judged, with_unit } from "./reading.js";
import { asked, problem_line } from "./rule_problem.js";
import { number_problem, settled } from "./typed_number.js";
import { worded_host } from "./worded_host.js";

class RateField extends MeasuredField {
  amount() {
    const { field, reading } = this;
    const unit_input = unit_choice({ id: `${field.field}-0`, of: "what was filled in", unit: field.unit,
      chosen: reading.unit, change: (unit) => tell(this, with_unit(reading, unit, this.tools)) });
    return [value_of(this, 0, "Filled in", { unit_input }), in_card_unit(field, reading, reading.values[0])];
  }

  backwards() {
    const { hours_then, hours_now } = this.reading.inputs;
    const typed = [hours_then, hours_now];
    if (!typed.every((text) => text && !number_problem(text)) || !this.typing.left()) return nothing;
    return problem_line(asked(() => hours_run(...typed.map(settled)))[1]);
  }

  rate() {
    const { field, reading } = this;
    const { hours, per_hour } = (this.typing.left() && judged(field, reading)?.derived) || {};
    return html`
      <p class="derived" role="status"><span>For each hour${hours ? html`<br><span class="quiet">over ${hours} h</span>`
        : nothing}</span> <output>${per_hour ? `${per_hour} ${reading.unit}/h` : "–"}</output></p>`;
  }

  render() {
    return field_frame(worded_host(this, { limit_unit: `${this.field.unit} an hour` }), [
      this.amount(),
      html`<div class="sides">
        ${input_of(this, "hours_then", "Hour-meter last time", { unit: "h" })}
        ${input_of(this, "hours_now", "Hour-meter now", { unit: "h", next: false })}</div>`,
      this.backwards(), this.rate(),
    ], "Used:");
  }
}

customElements.define("rate-field", RateField);
