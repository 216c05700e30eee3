/*
 * The inputs of a reading, one after the other, as they are typed.
 */
import { html } from "../vendor/lit.js";
import { number_input, tell } from "./field_frame.js";

/** Keep the typed texts `over` in the inputs of the reading of `host`; an empty text takes one away. */
export function keep_inputs(host, over) {
  const kept = Object.entries({ ...host.reading.inputs, ...over }).filter(([, text]) => text);
  tell(host, { ...host.reading, inputs: Object.fromEntries(kept) });
}

/** A titled number input for the input `name` of the reading of `host`; `more` goes to `number_input`. */
export function input_of(host, name, title, more = {}) {
  const id = `${host.field.field}-${name}`;
  return html`
    <div class="one-input">
      <label class="line" id="${id}-label" for=${id}>${title}</label>
      ${number_input({ id, label: `${host.field.field}-title ${id}-label`, value: host.reading.inputs[name] ?? "",
        next: true, change: (typed) => keep_inputs(host, { [name]: typed }), ...more })}
    </div>`;
}

/** As `input_of` for the value with this `index`. */
export function value_of(host, index, title, more = {}) {
  const { field, reading } = host;
  const id = `${field.field}-${index}`;
  const change = (typed) => tell(host, { ...reading, values: reading.values.with(index, typed) });
  return html`
    <div class="one-input">
      <label class="line" id="${id}-label" for=${id}>${title}</label>
      ${number_input({ id, label: `${field.field}-title ${id}-label`, value: reading.values[index], unit: reading.unit,
        limits: field.limits ? `${field.field}-limits` : undefined, next: true, change, ...more })}
    </div>`;
}
