/*
 * A small language of shapes for signed data: what a value must be, with nothing missing and nothing extra.
 * Twin of server/witnessmark/rules/shape.py, which lists the shapes; held equal by tests/vectors/shape.json.
 */
import { Problem } from "./problems.js";

const CONTROL = /[\x00-\x1f\x7f-\x9f\u2028\u2029]/;
const CONTROL_BUT_BREAK = /[\x00-\x09\x0b-\x1f\x7f-\x9f\u2028\u2029]/;
const TIME = /^[0-9]{4}-(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])T([01][0-9]|2[0-3]):[0-5][0-9]:[0-5][0-9]Z$/;
const DAY = /^[0-9]{4}-(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])$/;
const HEX = /^[0-9a-f]+$/;
const NAME = /^[a-z][a-z0-9_]{0,39}$/;

/** Throw Problem `entry_shape` (fields `at`, `why`) unless `value` has the `shape`. */
export function check_shape(value, shape, at) {
  CHECKS[shape[0]](value, shape, at);
}

function refuse(at, why) {
  throw new Problem("entry_shape", { at, why });
}

function is_object(value) {
  return value !== null && typeof value === "object" && !Array.isArray(value);
}

function text(value, [, least, most], at, control = CONTROL) {
  if (typeof value !== "string") refuse(at, "it must be text");
  if (value.length < least || value.length > most) refuse(at, `it must have ${least} to ${most} characters`);
  if (control.test(value)) refuse(at, "it holds a control character");
}

function list(value, [, shape, most], at) {
  if (!Array.isArray(value)) refuse(at, "it must be a list");
  if (value.length > most) refuse(at, `it must have at most ${most} members`);
  value.forEach((member, index) => check_shape(member, shape, `${at}[${index}]`));
}

function map(value, [, shape, most], at) {
  if (!is_object(value)) refuse(at, "it must be an object");
  const names = Object.keys(value).sort();
  if (names.length > most) refuse(at, `it must have at most ${most} members`);
  for (const name of names) {
    if (!NAME.test(name)) refuse(at, "its names must be small letters, digits and underscores");
    check_shape(value[name], shape, `${at}.${name}`);
  }
}

function object(value, [, members], at) {
  if (!is_object(value)) refuse(at, "it must be an object");
  const names = Object.keys(members).sort();
  for (const name of names) {
    if (!Object.hasOwn(value, name)) refuse(`${at}.${name}`, "it is missing");
    check_shape(value[name], members[name], `${at}.${name}`);
  }
  if (Object.keys(value).length > names.length) refuse(at, "it has a member that does not belong there");
}

const CHECKS = {
  any() {}, // the body: its own shape is checked once its kind is known
  text,
  lines: (value, shape, at) => text(value, shape, at, CONTROL_BUT_BREAK),
  hex(value, [, digits], at) {
    const fits = typeof value === "string" && value.length === digits && HEX.test(value);
    if (!fits) refuse(at, `it must be ${digits} hexadecimal digits`);
  },
  int(value, [, least, most], at) {
    const fits = Number.isInteger(value) && value >= least && value <= most;
    if (!fits) refuse(at, `it must be a whole number from ${least} to ${most}`);
  },
  one_of(value, [, choices], at) {
    if (!choices.includes(value)) refuse(at, `it must be one of ${choices.join(", ")}`);
  },
  null_or(value, [, shape], at) {
    if (value !== null) check_shape(value, shape, at);
  },
  list,
  ids(value, [, most], at) {
    list(value, ["list", ["hex", 64], most], at);
    const sorted = value.every((id, index) => index === 0 || value[index - 1] < id);
    if (!sorted) refuse(at, "it must be sorted, each once");
  },
  map,
  object,
  time(value, shape, at) {
    const fits = typeof value === "string" && TIME.test(value);
    if (!fits) refuse(at, "it must be a UTC time such as 2026-11-25T08:00:00Z");
  },
  yes_no(value, shape, at) {
    if (typeof value !== "boolean") refuse(at, "it must be true or false");
  },
  day(value, shape, at) {
    const fits = typeof value === "string" && DAY.test(value);
    if (!fits) refuse(at, "it must be a day such as 2026-11-25");
  },
};
