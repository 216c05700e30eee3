/*
 * The local code: the exact sentences that a shop signs, with their sources, and how many persons check controls.
 * Twin of server/witnessmark/rules/local_code.py, which describes a set; held equal by tests/vectors/local_code.json.
 */
import { Problem } from "./problems.js";
import { check_shape } from "./shape.js";

export const KEYS = ["countersignature", "settlement", "admission", "inspection", "inspection_part", "maintenance",
  "disapproval", "disapproval_part"];
export const SLOTS = ["type", "date", "number", "title", "registration"];
const SLOT = /\{([^{}]*)\}/g;
const STATEMENT = ["object", { text: ["lines", 1, 2000], source: ["lines", 1, 400],
  certificates: ["list", ["text", 1, 120], 20] }];
const SET = ["object", { format: ["one_of", ["1"]], code: ["text", 1, 40], title: ["text", 1, 120],
  confirm: ["yes_no"], control_persons: ["int", 1, 2],
  statements: ["object", Object.fromEntries(KEYS.map((key) => [key, STATEMENT]))] }];

/** Throw Problem `entry_shape`, or `code_slot` for a slot that does not exist. */
export function check_local_code(value) {
  check_shape(value, SET, "local_code");
  for (const key of KEYS) {
    const said = value.statements[key].text;
    for (const [whole, slot] of said.matchAll(SLOT)) {
      if (!SLOTS.includes(slot)) throw new Problem("code_slot", { key, slot: whole, slots: SLOTS.join(", ") });
    }
    const loose = said.replace(SLOT, "");
    const bracket = ["}", "{"].find((one) => loose.includes(one));
    if (bracket) throw new Problem("code_slot", { key, slot: bracket, slots: SLOTS.join(", ") });
  }
}

/** What a card of this template is signed off as: maintenance, inspection, or inspection_part. */
export function record_of({ record, whole }) {
  if (record === "maintenance") return "maintenance";
  return whole ? "inspection" : "inspection_part";
}

/** The key of the sentence signed with an entry of this `kind`; `record` is that of an approval. Null: no sentence. */
export function statement_key(kind, record) {
  if (kind === "release") return record;
  if (kind === "disapproval") return record === "inspection_part" ? "disapproval_part" : "disapproval";
  return KEYS.includes(kind) ? kind : null;
}

/** The sentence `key` of the local `code` with its slots filled; `slots` is {slot: text}. */
export function statement(code, key, slots) {
  return code.statements[key].text.replace(SLOT, (_, slot) => slots[slot]);
}

/** {slot: text} for a sentence on `card` (as in the API) in an entry with this `body`. */
export function slots_of(card, body) {
  return { type: body.inspection?.type ?? "", date: body.date ?? "", number: card.number, title: card.title,
    registration: card.aircraft.registration };
}

/** How many persons countersign an item that disturbs engine or flight controls. */
export function control_persons(code) {
  return code.control_persons;
}
