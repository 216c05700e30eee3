/*
 * Vouching: one person signs that a new signing key is another's, who set it up before their eyes.
 * Twin of server/witnessmark/rules/vouch.py, held equal by tests/vectors/vouch.json.
 */
import { check_shape } from "./shape.js";

export const VOUCH_STATEMENT = "I know this person, and saw them set up signing on their phone.";
const ID = ["hex", 32];
const KID = ["text", 43, 43];
const UNLOCKED = ["object", { by: ["one_of", ["code", "passkey"]], at: ["time"], use: ["int", 1, 1] }];
const VOUCH = ["object", {
  v: ["int", 1, 1], server: ID, kid: KID, person: ID, by: ID, device: ID,
  statement: ["one_of", [VOUCH_STATEMENT]], claimed_at: ["time"], unlocked: UNLOCKED,
}];

/**
 * Throw Problem `entry_shape` unless `value` is what a vouch says: { v: 1, server, kid: the new key, person: whose it is,
 * by: who vouches, device: on which phone, statement: VOUCH_STATEMENT, claimed_at, unlocked: { by, at, use: 1 } }.
 */
export function check_vouch(value) {
  check_shape(value, VOUCH, "vouch");
}
