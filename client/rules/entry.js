/*
 * Entries: one person's signed statement, append-only. What each kind carries, its canonical payload and its id.
 * Twin of server/witnessmark/rules/entry.py, held equal by tests/vectors/entry.json. What hashes is async here,
 * because WebCrypto is.
 */
import { canonical_text, check_record_keys, read_canonical } from "./canonical.js";
import { Problem } from "./problems.js";
import { check_shape } from "./shape.js";
import { ENTRY_TYP, read_jws } from "./signature.js";

export const VERSION = 2;
export const ITEM_KINDS = ["result", "settlement", "corrective_action", "countersignature", "rejection"];
export const APPROVALS = ["release", "disapproval"];
export const CARD_KINDS = [...APPROVALS, "admission"];
export const INSPECTIONS = ["inspection", "inspection_part"];
export const RECORDS = [...INSPECTIONS, "maintenance"];
const RESULTS = ["pass", "fail", "not_applicable"];
const LARGEST = Number.MAX_SAFE_INTEGER;

const ID = ["hex", 64];
const SHORT_ID = ["hex", 32];
const NAME = ["text", 1, 120];
const TYPED = ["text", 1, 120];
const NOTE = ["lines", 0, 4000];
const TOLD = ["lines", 1, 4000];
const ITEM = ["text", 1, 40];
const PHOTO = ["object", { sha256: ID, bytes: ["int", 1, 20000000], type: ["one_of", ["image/jpeg"]],
  caption: ["text", 0, 200] }];
const TOOL = ["object", { serial: NAME, calibrated_until: ["null_or", ["day"]] }];
const READING = ["object", { values: ["list", ["null_or", TYPED], 64], unit: ["null_or", ["text", 1, 20]],
  tools: ["list", TOOL, 8], inputs: ["map", TYPED, 16], derived: ["map", TYPED, 16] }];
const READINGS = ["map", READING, 40];
const PHOTOS = ["list", PHOTO, 24];
const DISCREPANCY = ["object", { what: TOLD, where: ["text", 1, 400] }];
const RESULT = { result: ["one_of", RESULTS], readings: READINGS, note: NOTE, photos: PHOTOS,
  discrepancy: ["null_or", DISCREPANCY] };
const INSPECTION = ["object", { type: NAME, extent: TOLD }];
const WORK = ["object", { description: TOLD, completed_on: ["day"], by: ["list", NAME, 16] }];
const APPROVAL = { covers: ["ids", 2000], statement: TOLD, record: ["one_of", RECORDS], date: ["day"],
  inspection: ["null_or", INSPECTION], work: ["null_or", WORK],
  times: ["map", ["object", { value: TYPED, unit: ["text", 1, 20] }], 16],
  discrepancies: ["list", ["object", { item: ITEM, what: TOLD, where: ["text", 1, 400] }], 400] };
const BODIES = {
  result: ["object", RESULT],
  settlement: ["object", { ...RESULT, statement: TOLD }],
  corrective_action: ["object", { action: TOLD, readings: READINGS, note: NOTE, photos: PHOTOS }],
  countersignature: ["object", { covers: ["ids", 16], statement: TOLD }],
  rejection: ["object", { reason: TOLD, photos: PHOTOS }],
  release: ["object", APPROVAL],
  disapproval: ["object", APPROVAL],
  admission: ["object", { entry: ID, reason: TOLD, statement: TOLD }],
};
const PAYLOAD = ["object", {
  v: ["int", VERSION, VERSION],
  kind: ["one_of", [...ITEM_KINDS, ...CARD_KINDS]],
  server: SHORT_ID,
  card: SHORT_ID,
  revision: ID,
  aircraft: ["object", { registration: ["text", 1, 20], serial_number: ["text", 1, 40] }],
  item: ["null_or", ITEM],
  supersedes: ["ids", 64],
  author: ["object", { person: SHORT_ID, name: NAME,
    certificate: ["object", { kind: ["text", 0, 120], number: ["text", 0, 60] }] }],
  device: SHORT_ID,
  sequence: ["int", 1, LARGEST],
  previous: ["null_or", ID],
  checkpoint: ["null_or", ["object", { size: ["int", 0, LARGEST], root: ID }]],
  claimed_at: ["time"],
  unlocked: ["object", { by: ["one_of", ["code", "passkey"]], at: ["time"], use: ["int", 1, 100000] }],
  body: ["map", ["any"], 16],
}];

/** The payload of a new entry from `facts` (its members without `v`), ids sorted, checked. Throws Problem. */
export function make_entry(facts) {
  const body = { ...facts.body };
  if (body.covers) body.covers = sorted_ids(body.covers);
  const payload = { ...facts, v: VERSION, supersedes: sorted_ids(facts.supersedes), body };
  check_entry(payload);
  return payload;
}

/** Throw Problem unless `payload` has the shape of its kind and holds together. */
export function check_entry(payload) {
  check_record_keys(payload);
  check_shape(payload, PAYLOAD, "entry");
  const { kind, body } = payload;
  check_shape(body, BODIES[kind], "entry.body");
  const of_card = CARD_KINDS.includes(kind);
  refuse_if((payload.item === null) !== of_card, "item", "it must name the item, if of an item");
  refuse_if((payload.previous === null) !== (payload.sequence === 1), "previous",
    "only the first entry of a phone has none");
  if (kind === "result" || kind === "settlement") {
    refuse_if((body.discrepancy === null) === (body.result === "fail"), "body.discrepancy",
      "a fail, and only a fail, says what was found");
  }
  if (kind === "countersignature" || kind === "admission") {
    refuse_if(payload.supersedes.length > 0, "supersedes", `a ${kind} replaces nothing`);
  }
  if (kind === "countersignature") {
    refuse_if(!body.covers.length, "body.covers", "it must name what is countersigned");
  }
  if (kind === "rejection") {
    refuse_if(!payload.supersedes.length, "supersedes", "it must name what is sent back");
  }
  if (APPROVALS.includes(kind)) check_approval(kind, body);
}

function check_approval(kind, { record, inspection, work, times, discrepancies }) {
  const inspected = INSPECTIONS.includes(record);
  refuse_if(inspected !== (inspection !== null), "body.inspection", "an inspection, and only one, has it");
  refuse_if(inspected !== (work === null), "body.work", "a maintenance record, and only one, has it");
  refuse_if(inspected && !Object.hasOwn(times, "airframe"), "body.times", "the airframe's total time is missing");
  refuse_if(kind === "disapproval" && !inspected, "body.record", "only an inspection is disapproved");
  refuse_if((kind === "disapproval") === !discrepancies.length, "body.discrepancies",
    "a disapproval, and only one, lists discrepancies");
}

/** The canonical text of a payload. */
export function entry_text(payload) {
  return canonical_text(payload);
}

/** The SHA-256 of a text's UTF-8 bytes, 64 hex digits. */
export async function content_id(text) {
  const digest = await crypto.subtle.digest("SHA-256", new TextEncoder().encode(text));
  return Array.from(new Uint8Array(digest), (byte) => byte.toString(16).padStart(2, "0")).join("");
}

/** {id, payload, text, kid} of an entry's text, a JWS. Throws Problem. Its signature is not verified here. */
export async function read_entry(text) {
  return entry_of(read_jws(text, ENTRY_TYP), text);
}

/** As `read_entry`, for whoever has read the JWS `text` into `signed` already, to verify it. */
export async function entry_of(signed, text) {
  const payload = read_canonical(signed.payload_text);
  check_entry(payload);
  return { id: await content_id(signed.payload_text), payload, text, kid: signed.kid };
}

/** One digest for a set of entries, to compare two sides: SHA-256 of the sorted ids, one a line. */
export async function set_digest(ids) {
  return content_id(sorted_ids(ids).join("\n"));
}

function sorted_ids(ids) {
  return [...new Set(ids)].sort();
}

function refuse_if(wrong, at, why) {
  if (wrong) throw new Problem("entry_shape", { at: `entry.${at}`, why });
}
