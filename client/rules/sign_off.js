/*
 * Who may record, countersign and release, and the exact sentences they sign.
 * Twin of server/witnessmark/rules/sign_off.py, held equal by tests/vectors/sign_off.json.
 */
export const ROLES = ["mechanic", "inspector", "author", "reader"];
export const MAY = {
  result: ["mechanic", "inspector"],
  corrective_action: ["mechanic", "inspector"],
  settlement: ["inspector"],
  countersignature: ["inspector"],
  release: ["inspector"],
  disapproval: ["inspector"],
};
const STATEMENTS = {
  countersignature: () => "I have looked at this item myself, after the work, and agree with the recorded result.",
  settlement: () => "I have seen every entry in dispute. This is the result that stands.",
  release: ({ title, number }) =>
    `I certify that the inspection "${title}" of this aircraft was performed as recorded on work card ${number}, ` +
    "and that the aircraft is approved for return to service in respect of this work only.",
  disapproval: ({ title, number }) =>
    `I certify that the inspection "${title}" of this aircraft was performed as recorded on work card ${number}, ` +
    "and that a list of discrepancies and unairworthy items has been provided for the aircraft owner or operator.",
};

/** May somebody with these `roles` make an entry of this `kind`? */
export function may(roles, kind) {
  return roles.some((role) => MAY[kind].includes(role));
}

/** The sentence signed with an entry of this `kind`; `facts` has `title` and `number` of the card. */
export function statement(kind, facts) {
  return STATEMENTS[kind](facts);
}

/**
 * Why somebody with `roles` may not make this `kind` of entry now, as codes; `item` is null for a card.
 * `state` is the card's, as folded on this side. Empty when nothing stands against it.
 */
export function refusals(state, roles, kind, item) {
  if (!may(roles, kind)) return ["not_allowed"];
  if (kind === "release" || kind === "disapproval") {
    return kind === "release" && state.stops.length ? ["not_ready_for_release"] : [];
  }
  return ITEM_REFUSALS[kind](state.items.find((found) => found.item === item).status);
}

/** As `refusals`, for a countersignature: `authors` are the person ids of the item's heads. */
export function countersign_refusals(state, roles, item, person, authors) {
  const found = refusals(state, roles, "countersignature", item);
  return found.length ? found : authors.includes(person) ? ["own_work"] : [];
}

const ITEM_REFUSALS = {
  result: (status) => (status === "disputed" ? ["dispute_open"] : []),
  settlement: (status) => (status === "disputed" ? [] : ["no_dispute"]),
  corrective_action: (status) => (["failed", "corrected"].includes(status) ? [] : ["no_failure"]),
  countersignature: (status) => (["passed", "not_applicable"].includes(status) ? [] : ["nothing_to_countersign"]),
};
