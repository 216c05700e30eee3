/*
 * The phone's own unlock as a guard: a passkey whose PRF extension gives a secret that only this authenticator has.
 * W3C Web Authentication Level 3, 10.1.4 "Pseudo-random function extension (prf)".
 *
 *   await passkey_possible() -> boolean
 *   await make_passkey({person, name}) -> {credential, prf_salt}          bytes
 *   await ask_passkey({credential, prf_salt}) -> 32 bytes
 * Throws Problem passkey_failed (not given, or cancelled) | key_not_kept (this authenticator gives no secret).
 */
import { Problem } from "../rules/problems.js";

const PATIENCE_MS = 120000;
const USER_VERIFIED = 0x04;
const FLAGS_AT = 32;

export async function passkey_possible() {
  const offered = globalThis.PublicKeyCredential;
  if (!offered?.isUserVerifyingPlatformAuthenticatorAvailable) return false;
  if (!(await offered.isUserVerifyingPlatformAuthenticatorAvailable())) return false;
  const capabilities = await offered.getClientCapabilities?.();
  return capabilities?.["extension:prf"] !== false;
}

export async function make_passkey({ person, name }) {
  const made = await asked(() => navigator.credentials.create({ publicKey: {
    rp: { name: "Witnessmark" },
    user: { id: bytesOfHex(person), name, displayName: name },
    challenge: random(32),
    pubKeyCredParams: [{ type: "public-key", alg: -7 }, { type: "public-key", alg: -257 }],
    authenticatorSelection: { authenticatorAttachment: "platform", userVerification: "required",
      residentKey: "discouraged" },
    attestation: "none",
    timeout: PATIENCE_MS,
    extensions: { prf: {} },
  } }));
  if (!made.getClientExtensionResults().prf?.enabled) throw noSecret();
  return { credential: new Uint8Array(made.rawId), prf_salt: random(32) };
}

export async function ask_passkey({ credential, prf_salt }) {
  const given = await asked(() => navigator.credentials.get({ publicKey: {
    challenge: random(32),
    allowCredentials: [{ type: "public-key", id: credential }],
    userVerification: "required",
    timeout: PATIENCE_MS,
    extensions: { prf: { eval: { first: prf_salt } } },
  } }));
  const flags = new Uint8Array(given.response.authenticatorData)[FLAGS_AT];
  if (!(flags & USER_VERIFIED)) throw new Problem("passkey_failed");
  const secret = given.getClientExtensionResults().prf?.results?.first;
  if (!secret) throw noSecret();
  return new Uint8Array(secret);
}

function noSecret() {
  return new Problem("key_not_kept", { why: "this phone's own unlock gives it no secret: take a signing code instead" });
}

async function asked(work) {
  try {
    const credential = await work();
    if (credential) return credential;
  } catch (error) {
    if (!(error instanceof DOMException)) throw error;
  }
  throw new Problem("passkey_failed");
}

function bytesOfHex(hex) {
  return Uint8Array.from(hex.match(/../g), (pair) => parseInt(pair, 16));
}

function random(bytes) {
  return crypto.getRandomValues(new Uint8Array(bytes));
}
