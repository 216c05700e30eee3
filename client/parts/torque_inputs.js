/*
 * The inputs of a torque. `host` is {field, reading, tools, dispatchEvent}, see parts/torque-field.
 */
import { tell } from "./field_frame.js";
import { unit_choice } from "./fitting_unit.js";
import { input_of } from "./input_of.js";

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
  const { field, reading } = host;
  const change = (unit) => tell(host, { ...reading, unit });
  return unit_choice({ id, of: "the wrench", unit: field.unit, chosen: reading.unit, change });
}
