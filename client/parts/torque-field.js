/*
 * A torque: what the wrench read, and what reached the fastener when an extension lengthened it.
 *
 * Usage: <torque-field .field=${field} .reading=${reading} .tools=${register} @reading=${(event) => event.detail}></torque-field>
 */
import { LitElement, html, nothing } from "../vendor/lit.js";
import { UNITS } from "../rules/units.js";
import { field_frame, number_input, tell } from "./field_frame.js";
import { judged, with_value } from "./reading.js";

const TORQUE_UNITS = Object.keys(UNITS).filter((unit) => UNITS[unit].kind === "torque");

class TorqueField extends LitElement {
  static properties = { field: { attribute: false }, reading: { attribute: false }, tools: { attribute: false } };

  createRenderRoot() {
    return this;
  }

  unit_choice() {
    const { field, reading } = this;
    return html`
      <select id="${field.field}-0-unit" aria-label="Unit on the wrench" @change=${(event) => tell(this, { ...reading, unit: event.target.value })}>
        ${TORQUE_UNITS.map((unit) => html`<option ?selected=${unit === reading.unit}>${unit}</option>`)}
      </select>`;
  }

  length(name, title) {
    const { field, reading } = this;
    const id = `${field.field}-${name}`;
    const change = (typed) => tell(this, { ...reading, inputs: { ...reading.inputs, [name]: typed } });
    return html`
      <label class="line" id="${id}-label" for=${id}>${title}</label>
      ${number_input({ id, label: `${id}-label`, value: reading.inputs[name] ?? "", change, next: true })}`;
  }

  extension() {
    const { inputs } = this.reading;
    return html`
      <details ?open=${Boolean(inputs.wrench_length || inputs.extension)}>
        <summary>Extension on the wrench</summary>
        <p class="quiet">Measure both in the same unit, in line with the wrench: its length from the drive to the
          middle of the grip, and how far the extension moves the fastener outward.</p>
        ${this.length("wrench_length", "Wrench length")} ${this.length("extension", "Extension")}
      </details>`;
  }

  applied() {
    const applied = judged(this.field, this.reading)?.derived.applied;
    return applied ? html`
      <p class="derived" role="status"><span>Applied at the fastener</span>
        <output>${applied} ${this.reading.unit}</output></p>` : nothing;
  }

  render() {
    const { field, reading } = this;
    const value = number_input({
      id: `${field.field}-0`, label: `${field.field}-title`, value: reading.values[0], unit_input: this.unit_choice(),
      limits: field.limits ? `${field.field}-limits` : undefined,
      change: (typed) => tell(this, with_value(reading, 0, typed)),
    });
    return field_frame(this, [value, this.extension(), this.applied()], "At the fastener:");
  }
}

customElements.define("torque-field", TorqueField);
