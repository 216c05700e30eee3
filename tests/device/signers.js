/*
 * Signing keys for phones without a screen: one for each person on each device, made when first asked for.
 *
 *   await signer_of(device, person) -> {kid, jwk, key, person, device}
 *   await signed(device, payload) -> the JWS of an entry, signed by its author's key on that device
 *   await enrolment_of(device, person, server) -> the body of POST /api/keys
 *   published() -> what GET /api/phone tells of all of them
 */
import { canonical_text } from "../../client/rules/canonical.js";
import { ENROLMENT_TYP, ENTRY_TYP, thumbprint } from "../../client/rules/signature.js";
import { sign_with } from "../../client/device/unlocked.js";

const made = new Map();
const texts = new Map();

export function signer_of(device, person) {
  const name = `${device} ${person}`;
  if (!made.has(name)) made.set(name, make(device, person));
  return made.get(name);
}

async function make(device, person) {
  const ecdsa = { name: "ECDSA", namedCurve: "P-256" };
  const { privateKey, publicKey } = await crypto.subtle.generateKey(ecdsa, false, ["sign", "verify"]);
  const { crv, kty, x, y } = await crypto.subtle.exportKey("jwk", publicKey);
  const jwk = { crv, kty, x, y };
  return { kid: await thumbprint(jwk), jwk, key: privateKey, person, device };
}

/** The same text for the same payload: ECDSA would give another each time, and with it another log on the same day. */
export async function signed(device, payload) {
  const name = `${device} ${canonical_text(payload)}`;
  if (!texts.has(name)) {
    texts.set(name, await sign_with(await signer_of(device, payload.author.person), ENTRY_TYP, canonical_text(payload)));
  }
  return texts.get(name);
}

export async function enrolment_of(device, person, server) {
  const signer = await signer_of(device, person);
  const said = { v: 1, server, person, device, guard: "code", claimed_at: "2026-11-25T08:00:00Z" };
  const proof = await sign_with(signer, ENROLMENT_TYP, canonical_text(said));
  return { jwk: signer.jwk, guard: "code", label: "Phone without a screen", proof };
}

export async function published() {
  const all = await Promise.all(made.values());
  return all.map(({ kid, jwk, person, device }) => ({ kid, jwk, person, name: "Ann", device }));
}
