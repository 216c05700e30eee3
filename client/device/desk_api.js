/*
 * What the desk asks the server for: people and their phones, tools, local codes, decisions about refused entries.
 * Throws as api.js does.
 */
import { read_canonical } from "../rules/canonical.js";
import { ask } from "./api.js";

const POST = (path, json) => ask("POST", path, { json });

/** Everybody of the shop: [{person, login, name, active, roles, authorities, certificate, phones}]. */
export async function people() {
  return (await ask("GET", "/api/people")).people;
}

/** `facts`: {login, name, certificate: {kind, number}, authorities: [{role, from, until}], password}. */
export const add_person = (facts) => POST("/api/people", facts);

/** `facts`: {name, certificate, authorities}. */
export const change_person = (person, facts) => ask("PUT", `/api/people/${person}`, { json: facts });

/** The person has left: sessions and keys end at once. */
export const end_person = (person, why) => POST(`/api/people/${person}/end`, { why });

/** A new start: a new password, and every session and key of the person ends. */
export const new_start = (person, password, why) => POST(`/api/people/${person}/password`, { password, why });

export const change_password = (old, fresh) => POST("/api/session/password", { old, new: fresh });

export const end_key = (kid, why) => POST(`/api/keys/${kid}/end`, { why });

/** [{serial, name, calibrated_until: day | null, facts: see rules/tool_facts}] */
export async function tools() {
  return (await ask("GET", "/api/tools")).tools;
}

/** Add a tool, or change the one of the same serial number; without `facts` what is known of it stays as it was. */
export const keep_tool = (tool) => POST("/api/tools", tool);

/** {chosen: revision, codes: [{revision, code, title, confirm}]} */
export const local_codes = () => ask("GET", "/api/local-codes");

/** The local code of that revision, as rules/local_code describes it. */
export async function local_code_of(revision) {
  return read_canonical(await ask("GET", `/api/local-codes/${revision}`, { raw: true }));
}

/** Keep a changed local code beside the others; {revision}. It is in use only when it is chosen. */
export const keep_local_code = (code) => POST("/api/local-codes", code);

export const choose_local_code = (revision) => ask("PUT", "/api/shop/local-code", { json: { revision } });

/** An inspector decides that a refused entry stays out. */
export const set_aside = (number, reason) => POST(`/api/quarantine/${number}/set-aside`, { reason });

/** The keys that sign only once a colleague has vouched: [{kid, person, name, label, enrolled_at, since: {person, name, why, at}}] */
export async function keys_waiting() {
  return (await ask("GET", "/api/keys/waiting")).keys;
}

/** `proof`: the vouch as keys.js signs it. */
export const send_vouch = (kid, proof) => POST(`/api/keys/${kid}/vouch`, { proof });
