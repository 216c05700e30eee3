/*
 * Signed entries: JWS compact (RFC 7515) with ES256 (RFC 7518 section 3.4) and nothing else.
 * Twin of server/witnessmark/rules/signature.py, held equal by tests/vectors/signature.json.
 */
import { base64url_bytes, base64url_text } from "./base64url.js";
import { canonical_text } from "./canonical.js";
import { Problem } from "./problems.js";

export const ENTRY_TYP = "witnessmark-entry+jws";
export const ENROLMENT_TYP = "witnessmark-enrolment+jws";
export const SESSION_TYP = "witnessmark-session+jws";
export const VOUCH_TYP = "witnessmark-vouch+jws";

// P-256, NIST SP 800-186 section 3.2.1.3: the field, the coefficient b and the order of the group.
const P = 0xFFFFFFFF00000001000000000000000000000000FFFFFFFFFFFFFFFFFFFFFFFFn;
const B = 0x5AC635D8AA3A93E7B3EBBD55769886BC651D06B0CC53B0F63BCE3C3E27D2604Bn;
const N = 0xFFFFFFFF00000000FFFFFFFFFFFFFFFFBCE6FAADA7179E84F3B9CAC2FC632551n;

const ES256 = { name: "ECDSA", hash: "SHA-256" };
const THUMBPRINT_MEMBERS = new Map([
  ["EC", ["crv", "kty", "x", "y"]], ["OKP", ["crv", "kty", "x"]], ["RSA", ["e", "kty", "n"]],
]);
const HEADER = /^\{"alg":"ES256","kid":"([A-Za-z0-9_-]{43})","typ":"[^"\\]*"\}$/;
const LONE_SURROGATE = /\p{Surrogate}/u;

/** Promise of the RFC 7638 thumbprint of `jwk` (kty EC, OKP or RSA): 43 characters. Throws Problem `key_form`. */
export async function thumbprint(jwk) {
  const members = is_object(jwk) ? THUMBPRINT_MEMBERS.get(jwk.kty) : undefined;
  if (!members) throw new Problem("key_form", { why: "kty is none of EC, OKP and RSA" });
  if (!members.every((name) => typeof jwk[name] === "string")) {
    throw new Problem("key_form", { why: `it needs ${members.join(", ")}` });
  }
  const text = canonical_text(Object.fromEntries(members.map((name) => [name, jwk[name]])));
  return base64url_text(await crypto.subtle.digest("SHA-256", utf8(text)));
}

/** Refuse `jwk` unless it is a P-256 point with exactly the members crv, kty, x, y. Throws Problem `key_form`. */
export function check_public_key(jwk) {
  if (!is_object(jwk) || Object.keys(jwk).sort().join() !== "crv,kty,x,y") {
    throw new Problem("key_form", { why: "its members are not exactly crv, kty, x and y" });
  }
  if (jwk.kty !== "EC" || jwk.crv !== "P-256") throw new Problem("key_form", { why: "it is of another kind" });
  const [x, y] = ["x", "y"].map((name) => coordinate(jwk[name], name));
  if (x >= P || y >= P || (y * y - (x * x * x - 3n * x + B)) % P !== 0n) {
    throw new Problem("key_form", { why: "it is not a point of the curve" });
  }
}

/** The one text of the protected header for the key `kid` (thumbprint) and the type `typ`. */
export function protected_header(kid, typ) {
  return canonical_text({ alg: "ES256", kid, typ });
}

/** What is signed: base64url(header) "." base64url(payload). Throws Problem `json_text` for half a character. */
export function signing_input(kid, typ, payload_text) {
  return `${base64url_text(utf8(protected_header(kid, typ)))}.${base64url_text(utf8(payload_text))}`;
}

/** The 64 bytes r || s with the smaller of s and n - s. Throws Problem `signature_form`. */
export function low_s(signature) {
  const data = new Uint8Array(signature);
  let { s } = numbers(data);
  if (s > N / 2n) s = N - s;
  const low = s.toString(16).padStart(64, "0");
  return Uint8Array.from(data, (byte, at) => (at < 32 ? byte : parseInt(low.slice(2 * at - 64, 2 * at - 62), 16)));
}

/**
 * The compact JWS of `payload_text` with its raw `signature` (64 bytes r || s, any s; ArrayBuffer or Uint8Array).
 * Throws Problem `signature_form` or `json_text`.
 */
export function finish_jws(kid, typ, payload_text, signature) {
  return `${signing_input(kid, typ, payload_text)}.${base64url_text(low_s(signature))}`;
}

/**
 * Take apart a compact JWS of the type `typ`: { kid, payload_text, signed, signature }, all texts. `signed` is what
 * `verify` checks, `signature` base64url. The payload is not parsed and nothing is verified yet.
 * Throws Problem `jws_malformed`, `jws_header` or `signature_form` for everything outside the profile.
 */
export function read_jws(text, typ) {
  const parts = typeof text === "string" ? text.split(".") : [];
  if (parts.length !== 3) throw new Problem("jws_malformed", { why: "it has not three parts" });
  const [header, payload_text] = ["header", "payload"].map((name, at) => part(parts[at], name));
  const found = HEADER.exec(header);
  if (!found) throw new Problem("jws_header", { why: "it is not exactly alg, kid and typ" });
  if (protected_header(found[1], typ) !== header) throw new Problem("jws_header", { why: "it is of another type" });
  strict(found[1], "jws_header", "its kid is not base64url");
  const signature = strict(parts[2], "jws_malformed", "the signature is not strict base64url");
  if (numbers(signature).s > N / 2n) throw new Problem("signature_form", { why: "s is not the smaller of the two" });
  return { kid: found[1], payload_text, signed: `${parts[0]}.${parts[1]}`, signature: parts[2] };
}

/**
 * Promise of whether `read` (as of `read_jws`) was signed by the key `jwk` (a P-256 public JWK).
 * Throws Problem `key_form` for another key; a signature that does not fit is only false.
 */
export async function verify(read, jwk) {
  check_public_key(jwk);
  let signature;
  try {
    signature = base64url_bytes(read.signature, "signature");
    numbers(signature);
  } catch (error) {
    if (error instanceof Problem) return false;
    throw error;
  }
  const key = await crypto.subtle.importKey("jwk", jwk, { name: "ECDSA", namedCurve: "P-256" }, false, ["verify"]);
  return crypto.subtle.verify(ES256, key, signature, utf8(read.signed));
}

function is_object(value) {
  return value !== null && typeof value === "object" && !Array.isArray(value);
}

function coordinate(text, name) {
  const data = strict(text, "key_form", `${name} is not strict base64url`);
  if (data.length !== 32) throw new Problem("key_form", { why: `${name} is not 32 bytes` });
  return number(data);
}

function number(data) {
  return BigInt(`0x${Array.from(data, (byte) => byte.toString(16).padStart(2, "0")).join("")}`);
}

function numbers(signature) {
  if (signature.length !== 64) throw new Problem("signature_form", { why: "it is not 64 bytes" });
  const [r, s] = [signature.subarray(0, 32), signature.subarray(32)].map(number);
  if (r === 0n || r >= N || s === 0n || s >= N) {
    throw new Problem("signature_form", { why: "r or s is outside 1 to n - 1" });
  }
  return { r, s };
}

function part(text, name) {
  const data = strict(text, "jws_malformed", `the ${name} is not strict base64url`);
  try {
    // Without ignoreBOM a leading U+FEFF would be dropped, and other bytes would give the same text.
    return new TextDecoder("utf-8", { fatal: true, ignoreBOM: true }).decode(data);
  } catch (error) {
    if (!(error instanceof TypeError)) throw error;
    throw new Problem("jws_malformed", { why: `the ${name} is not UTF-8` });
  }
}

function strict(text, code, why) {
  try {
    return base64url_bytes(text);
  } catch (error) {
    if (!(error instanceof Problem)) throw error;
    throw new Problem(code, { why });
  }
}

function utf8(text) {
  if (LONE_SURROGATE.test(text)) throw new Problem("json_text", {});
  return new TextEncoder().encode(text);
}
