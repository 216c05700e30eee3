/*
 * How far something falls from a base: the rpm on each magneto from the rpm on both.
 *
 * Usage: <drop-field .field=${field} .reading=${reading} .tools=${register} .trend=${"#/..."}
 *   @reading=${(event) => event.detail}></drop-field>
 */
import { html, nothing } from "../vendor/lit.js";
import { drops } from "../rules/measurement.js";
import { compare_numbers } from "../rules/number.js";
import { field_frame } from "./field_frame.js";
import { input_of, value_of } from "./input_of.js";
import { MeasuredField } from "./measured_field.js";
import { judged } from "./reading.js";
import { asked } from "./rule_problem.js";
import { stops_said } from "./stop_lines.js";
import { settled } from "./typed_number.js";

class DropField extends MeasuredField {
  side(name, index) {
    const { field, reading } = this;
    const { base = "" } = reading.inputs;
    const [fallen] = asked(() => drops(settled(base), [settled(reading.values[index])])[0]);
    const shown = fallen !== null && this.typing.left(`${field.field}-${index}`);
    const out = shown && field.limits?.max && compare_numbers(fallen, field.limits.max) > 0;
    return html`
      <div class="side">
        ${value_of(this, index, name, { next: index < field.stations.length - 1 })}
        <p class=${out ? "fall out" : "fall"} role="status">Falls by
          <output>${shown ? `${fallen} ${reading.unit}` : "–"}</output></p>
      </div>`;
  }

  apart() {
    const { field, reading } = this;
    const { difference } = judged(field, reading)?.derived ?? {};
    return html`
      <p class="derived" role="status"><span>Difference of the sides${field.difference ? html`<br>
        <span class="quiet">at most ${field.difference} ${field.unit}</span>` : nothing}</span>
        <output>${difference ? `${difference} ${reading.unit}` : "–"}</output></p>`;
  }

  render() {
    const { field, reading } = this;
    const { lines, verdict } = stops_said(this);
    return field_frame(this, [
      input_of(this, "base", "On both", { unit: reading.unit }),
      html`<div class="sides">${field.stations.map((name, index) => this.side(name, index))}</div>`,
      this.apart(),
      lines,
    ], "Each fall:", verdict);
  }
}

customElements.define("drop-field", DropField);
