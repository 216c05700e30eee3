/*
 * How a private key is wrapped: first by what the person knows or the phone's unlock gives, then by a key that never
 * leaves this browser. Only WebCrypto; nothing is stored here.
 *
 *   await new_pair() -> {pkcs8, jwk}                       ECDSA P-256; the caller overwrites pkcs8 when done
 *   await new_guard("code" | "passkey", secret) -> {salt, iterations}      calibrates on this device
 *   await seal(pkcs8, secret, facts) -> {...facts, iv, outer_iv, wrapped, outer}
 *   await open_outer(record) -> bytes                      throws Problem key_not_kept when they were damaged
 *   await open_inner(record, bytes, secret) -> CryptoKey to sign with, not extractable | null for a wrong secret
 * `secret`: {code: text} or {prf: 32 bytes}. `facts`: {person, kid, guard, salt, iterations}.
 */
import { Problem } from "../rules/problems.js";

// OWASP Password Storage Cheat Sheet (2023): PBKDF2-HMAC-SHA256 with 600,000 iterations; never fewer.
export const LEAST_ITERATIONS = 600000;
const MOST_ITERATIONS = 20000000;
const WANTED_MS = 500;
const PROBE = 100000;
const MOST_CALIBRATIONS = 4;
const SALT_BYTES = 16;
const IV_BYTES = 12;
const ECDSA = { name: "ECDSA", namedCurve: "P-256" };

const encoder = new TextEncoder();

export async function new_pair() {
  const { privateKey, publicKey } = await crypto.subtle.generateKey(ECDSA, true, ["sign", "verify"]);
  const pkcs8 = await crypto.subtle.exportKey("pkcs8", privateKey);
  const { crv, kty, x, y } = await crypto.subtle.exportKey("jwk", publicKey);
  return { pkcs8, jwk: { crv, kty, x, y } };
}

export async function new_guard(guard, secret) {
  const salt = random(SALT_BYTES);
  return { salt, iterations: guard === "code" ? await calibrate(secret.code, salt) : null };
}

/** Iterations that take at least half a second here, each of two times; never fewer than 600,000. */
async function calibrate(code, salt) {
  let iterations = fitting(PROBE, await timeOf(code, salt, PROBE));
  for (let times = 0; times < MOST_CALIBRATIONS && iterations < MOST_ITERATIONS; times += 1) {
    // A moment's business elsewhere makes one measurement too long, never too short.
    const took = Math.min(await timeOf(code, salt, iterations), await timeOf(code, salt, iterations));
    if (took >= WANTED_MS) break;
    iterations = Math.max(iterations + PROBE, fitting(iterations, took));
  }
  return iterations;
}

function fitting(iterations, took) {
  const wanted = Math.ceil((iterations * WANTED_MS * 1.1) / Math.max(took, 1) / 1000) * 1000;
  return Math.min(MOST_ITERATIONS, Math.max(LEAST_ITERATIONS, wanted));
}

async function timeOf(code, salt, iterations) {
  const from = performance.now();
  await keyOf({ guard: "code", salt, iterations }, { code });
  return performance.now() - from;
}

export async function seal(pkcs8, secret, facts) {
  const outer = await crypto.subtle.generateKey({ name: "AES-GCM", length: 256 }, false, ["encrypt", "decrypt"]);
  const [iv, outer_iv] = [random(IV_BYTES), random(IV_BYTES)];
  const additionalData = bound(facts);
  const key = await keyOf(facts, secret);
  const inner = await crypto.subtle.encrypt({ name: "AES-GCM", iv, additionalData }, key, pkcs8);
  const wrapped = await crypto.subtle.encrypt({ name: "AES-GCM", iv: outer_iv, additionalData }, outer, inner);
  return { ...facts, iv, outer_iv, wrapped, outer };
}

export async function open_outer(record) {
  const { outer, outer_iv: iv, wrapped } = record;
  const damaged = new Problem("key_not_kept", { why: "what it kept is damaged or was brought from another phone" });
  if (!(outer instanceof CryptoKey) || !wrapped) throw damaged;
  return decrypted({ name: "AES-GCM", iv, additionalData: bound(record) }, outer, wrapped, () => {
    throw damaged;
  });
}

export async function open_inner(record, inner, secret) {
  const key = await keyOf(record, secret);
  const algorithm = { name: "AES-GCM", iv: record.iv, additionalData: bound(record) };
  const pkcs8 = await decrypted(algorithm, key, inner, () => null);
  if (!pkcs8) return null;
  const signing = await crypto.subtle.importKey("pkcs8", pkcs8, ECDSA, false, ["sign"]);
  new Uint8Array(pkcs8).fill(0);
  return signing;
}

async function decrypted(algorithm, key, bytes, refuse) {
  try {
    return await crypto.subtle.decrypt(algorithm, key, bytes);
  } catch (error) {
    // WebCrypto says OperationError when the tag does not fit, and nothing more.
    if (error.name !== "OperationError") throw error;
    return refuse();
  }
}

/** The AES-GCM key that the code (PBKDF2) or the passkey's secret (HKDF) gives. */
async function keyOf({ guard, salt, iterations }, secret) {
  const [name, bytes, facts] = guard === "code"
    ? ["PBKDF2", encoder.encode(secret.code.normalize("NFC")), { iterations }]
    : ["HKDF", secret.prf, { info: encoder.encode("witnessmark signing key") }];
  const material = await crypto.subtle.importKey("raw", bytes, name, false, ["deriveKey"]);
  return crypto.subtle.deriveKey({ name, hash: "SHA-256", salt, ...facts }, material, { name: "AES-GCM", length: 256 },
    false, ["encrypt", "decrypt"]);
}

/** A wrapped key put under another person's name must not open. */
function bound({ person, kid, guard, iterations }) {
  return encoder.encode(`${person} ${kid} ${guard} ${iterations}`);
}

function random(bytes) {
  return crypto.getRandomValues(new Uint8Array(bytes));
}
