/*
 * The inputs of a torque. `host` is {field, reading, tools, dispatchEvent, asked_unit, take_unit, answer_unit}, see
 * parts/torque-field.
 */
import { read_number } from "../rules/number.js";
import { convert } from "../rules/units.js";
import { html, nothing } from "../vendor/lit.js";
import { tell } from "./field_frame.js";
import { unit_choice } from "./fitting_unit.js";
import { input_of } from "./input_of.js";
import { number_problem, settled } from "./typed_number.js";

/** Keep the inputs `over`. An emptied one stays, as "": what the register knows must not come back under the hand. */
export function keep(host, over) {
  tell(host, { ...host.reading, inputs: { ...host.reading.inputs, ...over } });
}

/** A titled number for the input `name`; `more` goes to `number_input`. */
export function titled(host, name, title, more) {
  return input_of(host, name, title, { change: (typed) => keep(host, { [name]: typed }), ...more });
}

/** The choice of the unit that the wrench is marked in, for the `number_input` with this `id`. */
export function wrench_unit(host, id) {
  const { field, reading, asked_unit } = host;
  return unit_choice({ id, of: "the wrench", unit: field.unit, chosen: asked_unit ?? reading.unit, change: host.take_unit });
}

/** The drag that `reading` holds, in another unit as a text, or null where there is none to turn. */
export function drag_in({ inputs: { drag = "" }, unit }, wanted) {
  return !drag || unit === wanted || number_problem(drag) ? null : read_number(convert(settled(drag), unit, wanted, 2));
}

/** Asked while another unit is wanted and a drag is typed: one number is read in two units, and the window moves with it. */
export function unit_question(host) {
  const { reading, asked_unit, answer_unit } = host;
  if (!asked_unit) return nothing;
  const { drag } = reading.inputs;
  const turned = drag_in(reading, asked_unit);
  return html`
    <div class="problem" role="alert">
      <p>The friction drag is typed as ${drag} ${reading.unit}, which is ${turned} ${asked_unit}. Which is it?</p>
      <div class="pair">${[turned, drag].map((text) => html`
        <button type="button" @click=${() => answer_unit(text)}>${text} ${asked_unit}</button>`)}</div>
    </div>`;
}
