/*
 * Readings at several stations, entered quickly one after another: the run-out of a mast by dial, the thickness along a
 * blade. What follows from them grows as they are typed, and is drawn once all are there.
 *
 * Usage: <station-field .field=${field} .reading=${reading} .tools=${register} .trend=${"#/..."} .last=${["0.071", ...]}
 *   @reading=${(event) => event.detail}></station-field>      `last`: the values of the last inspection, or nothing
 */
import { html, nothing } from "../vendor/lit.js";
import { field_frame, number_input, tell } from "./field_frame.js";
import { fitting_units, in_card_unit, unit_choice } from "./fitting_unit.js";
import { input_of } from "./input_of.js";
import { limits_by_input } from "./limits_by.js";
import { limits_in_force, stations_out, worded_field } from "./limits_in_force.js";
import { MeasuredField } from "./measured_field.js";
import { polar_plot } from "./polar_plot.js";
import { profile_plot } from "./profile_plot.js";
import { judged, limit_words, with_unit, with_value } from "./reading.js";
import { row_lines, shape_lines } from "./row_lines.js";
import { stop_lines } from "./stop_lines.js";
import { settled, turn_sign } from "./typed_number.js";
import { worded_host } from "./worded_host.js";

class StationField extends MeasuredField {
  static properties = { last: { attribute: false } };

  get turns() {
    return this.field.kind === "run_out";
  }

  unit() {
    const { field, reading } = this;
    if (fitting_units(field.unit).length === 1) return nothing;
    const change = (unit) => tell(this, with_unit(reading, unit, this.tools));
    return html`<p class="row-unit"><span>Typed in</span>
      ${unit_choice({ id: `${field.field}-all`, of: "these readings", unit: field.unit, chosen: reading.unit, change })}</p>`;
  }

  station(name, index, out) {
    const { field, reading } = this;
    const id = `${field.field}-${index}`;
    const change = (typed) => tell(this, with_value(reading, index, typed));
    const value = reading.values[index];
    const own = field.limits_at ? limit_words({ limits: field.limits_at[index], unit: field.unit }) : null;
    return html`
      <div class="station">
        <label id="${id}-label" for=${id}>${name}${own ? html` <span class="quiet">${own}</span>` : nothing}</label>
        ${number_input({ id, label: `${field.field}-title ${id}-label`, value, unit: reading.unit, change,
          next: index < field.stations.length - 1 })}
        ${this.turns ? html`
          <button type="button" class="turn" aria-label="Turn the sign at ${name}" ?disabled=${!value}
            @click=${() => change(turn_sign(value))}>±</button>` : nothing}
        ${in_card_unit(field, reading, value)}
        ${out && this.typing.left(id) ? html`<p class="judged out" role="status">Out of limits</p>` : nothing}
      </div>`;
  }

  back() {
    const { field, reading } = this;
    if (!field.return_within) return nothing;
    return input_of(this, "back", `Dial back at ${field.stations[0]}: within ${field.return_within} ${field.unit} of the first`,
      { unit: reading.unit, next: false });
  }

  total(derived) {
    const { field, reading } = this;
    if (!this.turns) return nothing;
    const taken = reading.values.filter(Boolean).length;
    return html`
      <p class="derived" role="status"><span>Total indicator reading<br>
        <span class="quiet">${taken} of ${field.stations.length} stations</span></span>
        <output>${derived.total ? `${derived.total} ${reading.unit}` : "–"}</output></p>`;
  }

  picture(derived) {
    const { field, reading } = this;
    if (field.angles && derived.shape) {
      return polar_plot(field.stations, field.angles, reading.values.map(settled), derived);
    }
    if (!field.wear || reading.unit !== field.unit) return nothing;
    const limits = limits_in_force(field, reading);
    return profile_plot({ stations: field.stations, values: reading.values.map(settled), unit: field.unit,
      limits: Array.isArray(limits) ? limits[0] : null, last: this.last });
  }

  render() {
    const { field, reading } = this;
    const derived = judged(field, reading)?.derived ?? {};
    const out = this.turns ? [] : stations_out(field, reading);
    return field_frame(worded_host(this, worded_field(field, reading)), [
      limits_by_input(this), this.unit(),
      html`<div class="stations">${field.stations.map((name, index) => this.station(name, index, out[index]))}</div>`,
      this.back(), this.total(derived), shape_lines(derived, reading.unit), row_lines(field, derived, reading.unit),
      this.picture(derived), this.typing.left() ? stop_lines(field, reading) : nothing,
    ], this.turns ? "Total:" : "Each:");
  }
}

customElements.define("station-field", StationField);
