/*
 * Canonical JSON (RFC 8785) without fractions.
 * Twin of server/witnessmark/rules/canonical.py, held equal by tests/vectors/canonical.json.
 */
import { Problem } from "./problems.js";

const LONE_SURROGATE = /\p{Surrogate}/u;
const RECORD_KEY = /^[a-z][a-z0-9_]*$/;

/** The RFC 8785 text of `value` (string, whole number, boolean, null, array, plain object). Throws Problem. */
export function canonical_text(value) {
  if (value === null || value === true || value === false) return String(value);
  if (typeof value === "string") return text_of(value);
  if (typeof value === "number") return String(safe_integer(value));
  if (Array.isArray(value)) return `[${value.map(canonical_text).join(",")}]`;
  if (typeof value === "object") {
    // The default sort compares UTF-16 code units, which is the order RFC 8785 asks for.
    const members = Object.keys(value).sort();
    return `{${members.map((key) => `${text_of(key)}:${canonical_text(value[key])}`).join(",")}}`;
  }
  throw new Problem("json_kind", { kind: typeof value });
}

/** The value of `text`, which must be canonical to the byte. Throws Problem. */
export function read_canonical(text) {
  let value;
  try {
    value = JSON.parse(text);
  } catch (error) {
    throw new Problem("json_malformed", { detail: error.message });
  }
  if (canonical_text(value) !== text) throw new Problem("not_canonical", {});
  return value;
}

/** Refuse member names outside `[a-z][a-z0-9_]*` anywhere in `value`: the fence of everything that is signed. */
export function check_record_keys(value) {
  const stack = [value];
  while (stack.length) {
    const node = stack.pop();
    if (node === null || typeof node !== "object") continue;
    if (!Array.isArray(node)) {
      for (const key of Object.keys(node)) {
        if (!RECORD_KEY.test(key)) throw new Problem("json_key", { key });
      }
    }
    stack.push(...Object.values(node));
  }
}

function text_of(value) {
  if (LONE_SURROGATE.test(value)) throw new Problem("json_text", {});
  return JSON.stringify(value);
}

function safe_integer(value) {
  if (!Number.isSafeInteger(value)) throw new Problem("json_number", { value: String(value) });
  return value;
}
