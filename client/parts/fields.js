/*
 * Which element takes the readings of which kind of field, and a template for all fields of an item.
 */
import { html, repeat } from "../vendor/lit.js";
import { empty_reading } from "./reading.js";
import "./choice-field.js";
import "./reading-field.js";
import "./station-field.js";
import "./torque-field.js";

/** The fields of `item`; `tools` is the shop's register; `change(field id, reading)` is called at each keystroke. */
export function fields(item, readings, serials, tools, change) {
  return repeat(item.fields, ({ field }) => field, (field) => {
    const reading = readings[field.field] ?? empty_reading(field, serials[field.tool]);
    return element(field, reading, tools, (event) => change(field.field, event.detail));
  });
}

function element(field, reading, tools, told) {
  if (field.kind === "torque") {
    return html`<torque-field .field=${field} .reading=${reading} .tools=${tools} @reading=${told}></torque-field>`;
  }
  if (field.kind === "choice") {
    return html`<choice-field .field=${field} .reading=${reading} @reading=${told}></choice-field>`;
  }
  if (field.stations?.length) {
    return html`<station-field .field=${field} .reading=${reading} .tools=${tools} @reading=${told}></station-field>`;
  }
  return html`<reading-field .field=${field} .reading=${reading} .tools=${tools} @reading=${told}></reading-field>`;
}
