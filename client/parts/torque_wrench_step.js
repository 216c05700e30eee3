/*
 * The wrench of a torque: which one, what is on it, what it can do. Templates; `host` as in parts/torque_inputs.
 */
import { read_number } from "../rules/number.js";
import { ratio, show } from "../rules/ratio.js";
import { html, nothing } from "../vendor/lit.js";
import { tool_input } from "./field_frame.js";
import { keep, titled, unit_question } from "./torque_inputs.js";
import { torque_picture } from "./torque_picture.js";
import { whole } from "./torque_words.js";
import { wrench_facts } from "./torque_wrench.js";
import { number_problem, settled } from "./typed_number.js";

const INCHES = ["in-lbf", "ft-lbf", "ozf·in"];

/** Which wrench, and what is on it. */
export function wrench_step(host) {
  return [host.field.tool ? tool_input(host) : nothing, own_unit(host), extension(host), scale_of_wrench(host)];
}

/* The wrench may be marked in another unit than the card: one touch, and all is said in that of the wrench. */
function own_unit(host) {
  const unit = wrench_facts(host.reading, host.tools)?.unit ?? host.reading.unit;
  if (unit === host.reading.unit) return nothing;
  return html`
    <div class="own-unit"><p>This wrench is marked in ${unit}.</p>
      <button type="button" @click=${() => host.take_unit(unit)}>Use ${unit}</button></div>
    ${unit_question(host)}`;
}

/** The extension on the wrench, with a picture. */
export function extension(host) {
  const { inputs } = host.reading;
  return html`
    <details ?open=${inputs.extension !== undefined}>
      <summary>Extension on the wrench</summary>
      ${torque_picture(inputs, length_unit(host))}
      <p class="quiet">Wrench: from the middle of the grip to the drive. Extension: from the drive to the fastener,
        minus when it points back to the grip. Angle: 0 when it points straight on.</p>
      <div class="two-up lengths">
        ${length(host, "wrench_length", "Wrench length")} ${length(host, "extension", "Extension")}
        ${titled(host, "angle", "Angle, if any", { unit: "°" })} ${length_unit_choice(host)}
      </div>
    </details>`;
}

/* A length keeps its unit beside it in the record. */
function length(host, name, title) {
  const unit = length_unit(host);
  return titled(host, name, title, { unit, change: (typed) => keep(host, { [name]: typed, length_unit: unit }) });
}

function length_unit_choice(host) {
  const id = `${host.field.field}-length_unit`;
  const chosen = length_unit(host);
  return html`
    <div class="one-input"><label class="line" for=${id}>Lengths in</label>
      <select id=${id} @change=${(event) => keep(host, { length_unit: event.target.value })}>
        ${["in", "mm"].map((unit) => html`<option ?selected=${unit === chosen}>${unit}</option>`)}
      </select></div>`;
}

function length_unit({ field, reading }) {
  return reading.inputs.length_unit ?? (INCHES.includes(field.unit) ? "in" : "mm");
}

/* What the wrench can do: from the register, or typed. */
function scale_of_wrench(host) {
  const { unit } = host.reading;
  return html`
    <details>
      <summary>${scale_words(host.reading)}</summary>
      <div class="two-up lengths">
        ${titled(host, "full_scale", "Full scale", { unit })} ${titled(host, "graduation", "One mark is", { unit })}
        ${titled(host, "tolerance_percent", "Tolerance ±", { unit: "%" })}
      </div>
    </details>`;
}

/* The register's figure in the unit of another wrench has many decimals. */
function shown(typed) {
  return number_problem(typed) ? typed : read_number(show(ratio(settled(typed)), 2));
}

function scale_words({ unit, inputs: { full_scale, tolerance_percent } }) {
  if (!full_scale) return html`<span>Scale and tolerance of the wrench</span>`;
  const tolerance = tolerance_percent ? html`, ${whole(`± ${tolerance_percent} %`)}` : nothing;
  return html`<span>Wrench to ${whole(`${shown(full_scale)} ${unit}`)}${tolerance}</span>`;
}
