/*
 * Who may record, countersign, send back, settle and release, and what stands against it.
 * Twin of server/witnessmark/rules/sign_off.py, held equal by tests/vectors/sign_off.json.
 */
import { workers } from "./lineage.js";

export const ROLES = ["mechanic", "inspector", "author", "reader"];
export const MAY = {
  result: ["mechanic", "inspector"],
  corrective_action: ["mechanic", "inspector"],
  settlement: ["inspector"],
  countersignature: ["inspector"],
  rejection: ["inspector"],
  release: ["inspector"],
  disapproval: ["inspector"],
  admission: ["inspector"],
};
// What is signed one at a time, with the signing code each time, on a page of its own.
export const FRESH = ["settlement", "countersignature", "rejection", "release", "disapproval", "admission"];

/** May somebody with these `roles` make an entry of this `kind`? */
export function may(roles, kind) {
  return roles.some((role) => MAY[kind].includes(role));
}

/**
 * The roles that hold on `day` ("2026-11-25"), in the order of ROLES. `authorities` is a list of {role, from, until};
 * a day of null has no limit, and both days are included.
 */
export function roles_on(authorities, day) {
  const holds = ({ from, until }) => (from === null || from <= day) && (until === null || day <= until);
  const held = authorities.filter(holds).map(({ role }) => role);
  return ROLES.filter((role) => held.includes(role));
}

/**
 * Why somebody with `roles` may not make this `kind` of entry now, as codes; `item` is null for a card.
 * `state` is the card's, as folded on this side. Empty when nothing stands against it.
 */
export function refusals(state, roles, kind, item) {
  if (!may(roles, kind)) return ["not_allowed"];
  if (item === null) return kind === "release" && state.stops.length ? ["not_ready_for_release"] : [];
  return ITEM_REFUSALS[kind](state.items.find((found) => found.item === item).status);
}

/**
 * As `refusals`, for a countersignature by `person`; `entries` are {id: payload} of the card.
 * Nobody countersigns their own work, and nobody is two of the persons that an item needs.
 */
export function countersign_refusals(state, roles, item, person, entries) {
  const found = refusals(state, roles, "countersignature", item);
  if (found.length) return found;
  const { heads, countersigned_by } = state.items.find((standing) => standing.item === item);
  if (workers(heads, entries).includes(person)) return ["own_work"];
  const signed = countersigned_by.map((id) => entries[id].author.person);
  return signed.includes(person) ? ["already_countersigned"] : [];
}

/** May the holder of a certificate of this `kind` sign the statement `key` of a local `code`? See local_code.js. */
export function certificate_fits(code, key, kind) {
  const { certificates } = code.statements[key];
  return certificates.length === 0 || certificates.includes(kind);
}

const ITEM_REFUSALS = {
  result: (status) => (status === "disputed" ? ["dispute_open"] : []),
  settlement: (status) => (status === "disputed" ? [] : ["no_dispute"]),
  corrective_action: (status) => (["failed", "corrected", "rejected"].includes(status) ? [] : ["no_failure"]),
  countersignature: (status) => (["passed", "not_applicable"].includes(status) ? [] : ["nothing_to_countersign"]),
  rejection: (status) => (["passed", "not_applicable"].includes(status) ? [] : ["nothing_to_send_back"]),
};
