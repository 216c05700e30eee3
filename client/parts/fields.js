/*
 * Which element takes the readings of which kind of field, and a template for all fields of an item.
 */
import { html, repeat } from "../vendor/lit.js";
import { empty_reading } from "./reading.js";
import "./balance-field.js";
import "./choice-field.js";
import "./compression-field.js";
import "./drop-field.js";
import "./look-up-field.js";
import "./rate-field.js";
import "./reading-field.js";
import "./scale-field.js";
import "./station-field.js";
import "./torque-field.js";

/**
 * The fields of `item`; `tools` is the shop's register; `change(field id, reading)` is called at each keystroke;
 * `past` is null, or {address: what the name of a field is put behind, last: {field: values of the last inspection}}.
 */
export function fields(item, readings, serials, tools, change, past) {
  return repeat(item.fields, ({ field }) => field, (field) => {
    const reading = readings[field.field] ?? empty_reading(field, serials[field.tool], tools);
    const told = (event) => change(field.field, event.detail);
    return (ELEMENTS[field.kind] ?? measured)({ field, reading, tools, told, trend: past?.address, last: past?.last[field.field] });
  });
}

const ELEMENTS = {
  balance: ({ field, reading, tools, told }) => html`
    <balance-field .field=${field} .reading=${reading} .tools=${tools} @reading=${told}></balance-field>`,
  choice: ({ field, reading, told }) => html`
    <choice-field .field=${field} .reading=${reading} @reading=${told}></choice-field>`,
  compression: ({ field, reading, tools, told, trend }) => html`
    <compression-field .field=${field} .reading=${reading} .tools=${tools} .trend=${trend} @reading=${told}></compression-field>`,
  drop: ({ field, reading, tools, told, trend }) => html`
    <drop-field .field=${field} .reading=${reading} .tools=${tools} .trend=${trend} @reading=${told}></drop-field>`,
  look_up: ({ field, reading, tools, told }) => html`
    <look-up-field .field=${field} .reading=${reading} .tools=${tools} @reading=${told}></look-up-field>`,
  rate: ({ field, reading, tools, told, trend }) => html`
    <rate-field .field=${field} .reading=${reading} .tools=${tools} .trend=${trend} @reading=${told}></rate-field>`,
  scale: ({ field, reading, told }) => html`
    <scale-field .field=${field} .reading=${reading} @reading=${told}></scale-field>`,
  torque: ({ field, reading, tools, told }) => html`
    <torque-field .field=${field} .reading=${reading} .tools=${tools} @reading=${told}></torque-field>`,
};

function measured({ field, reading, tools, told, trend, last }) {
  if (!field.stations?.length) {
    return html`<reading-field .field=${field} .reading=${reading} .tools=${tools} .trend=${trend} @reading=${told}></reading-field>`;
  }
  return html`<station-field .field=${field} .reading=${reading} .tools=${tools} .trend=${trend} .last=${last} @reading=${told}></station-field>`;
}
