/*
 * What the shop's register knows of the torque wrench, in the inputs of a reading. Pure.
 * What a person typed instead stays; what still is the register's own changes with the wrench and with the units.
 */
import { read_number } from "../rules/number.js";
import { inputs_of } from "../rules/tool_facts.js";
import { convert } from "../rules/units.js";
import { plain_lines } from "./reading.js";

const NAMES = ["full_scale", "graduation", "tolerance_percent", "wrench_length", "length_unit"];
const LENGTH_DECIMALS = 3;

/** What the register `tools` knows of the torque wrench that `reading` names, or null. */
export function wrench_facts(reading, tools) {
  const serial = plain_lines(reading.tools[0] ?? "");
  const facts = tools.find((tool) => tool.serial === serial)?.facts ?? null;
  return facts?.use === "torque_wrench" ? facts : null;
}

/** The reading `after` that `before` was changed into, with what the register gives for the wrench it names now. */
export function with_wrench(before, after, tools) {
  const [old, facts] = [before, after].map((reading) => wrench_facts(reading, tools));
  const inputs = { ...(before.tools[0] === after.tools[0] ? after.inputs : before.inputs) };
  const was = from_register(old, before.unit, before.inputs.length_unit);
  const given = from_register(facts, after.unit, own_length_unit(inputs, old));
  const kept = inputs.extension ? inputs.length_unit : undefined;
  for (const name of NAMES.filter((one) => inputs[one] === undefined || inputs[one] === was[one])) {
    if (given[name] === undefined) delete inputs[name];
    else inputs[name] = given[name];
  }
  if (kept) inputs.length_unit = kept;
  return { ...after, inputs };
}

/* A length in another unit beside a typed extension would be a wrong lever that looks right. */
function own_length_unit({ extension, length_unit }, old) {
  return extension || length_unit !== old?.length_unit ? length_unit : undefined;
}

function from_register(facts, unit, wanted) {
  if (facts === null) return {};
  const given = inputs_of(facts, unit);
  if (given.wrench_length === undefined || !wanted || wanted === given.length_unit) return given;
  const length = read_number(convert(given.wrench_length, given.length_unit, wanted, LENGTH_DECIMALS));
  return { ...given, wrench_length: length, length_unit: wanted };
}
