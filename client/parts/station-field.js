/*
 * Readings at several stations, entered quickly one after another: the run-out of a mast by dial, the
 * thickness along a blade. For a run-out the total indicator reading is shown as it grows.
 *
 * Usage: <station-field .field=${field} .reading=${reading} .tools=${register} @reading=${(event) => event.detail}></station-field>
 */
import { LitElement, html, nothing } from "../vendor/lit.js";
import { field_frame, number_input, tell } from "./field_frame.js";
import { judged, with_value } from "./reading.js";
import { turn_sign } from "./typed_number.js";

class StationField extends LitElement {
  static properties = { field: { attribute: false }, reading: { attribute: false }, tools: { attribute: false } };

  createRenderRoot() {
    return this;
  }

  station(name, index) {
    const { field, reading } = this;
    const id = `${field.field}-${index}`;
    const change = (typed) => tell(this, with_value(reading, index, typed));
    const value = reading.values[index];
    return html`
      <div class="station">
        <label id="${id}-label" for=${id}>${name}</label>
        ${number_input({ id, label: `${field.field}-title ${id}-label`, value, unit: reading.unit, change,
          next: index < field.stations.length - 1 })}
        ${field.kind === "run_out" ? html`
          <button type="button" class="turn" aria-label="Turn the sign at ${name}" ?disabled=${!value}
            @click=${() => change(turn_sign(value))}>±</button>` : nothing}
      </div>`;
  }

  total() {
    const { field, reading } = this;
    if (field.kind !== "run_out") return nothing;
    const taken = reading.values.filter(Boolean).length;
    const total = judged(field, reading)?.derived.total;
    return html`
      <p class="derived" role="status"><span>Total indicator reading<br>
        <span class="quiet">${taken} of ${field.stations.length} stations</span></span>
        <output>${total ? `${total} ${reading.unit}` : "–"}</output></p>`;
  }

  render() {
    const stations = html`<div class="stations">${this.field.stations.map((name, index) => this.station(name, index))}</div>`;
    return field_frame(this, [stations, this.total()], this.field.kind === "run_out" ? "Total:" : "Each:");
  }
}

customElements.define("station-field", StationField);
