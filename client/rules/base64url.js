/*
 * base64url without padding (RFC 4648 section 5, RFC 7515 section 2), read strictly: each value has one text.
 * Twin of server/witnessmark/rules/base64url.py, held equal by tests/vectors/base64url.json.
 */
import { Problem } from "./problems.js";

const ALPHABET = /^[A-Za-z0-9_-]*$/;

/** The text of `data` (ArrayBuffer or Uint8Array), without padding. */
export function base64url_text(data) {
  let binary = "";
  for (const byte of new Uint8Array(data)) binary += String.fromCharCode(byte);
  return btoa(binary).replaceAll("+", "-").replaceAll("/", "_").replaceAll("=", "");
}

/**
 * The bytes (Uint8Array) of `text`. Throws Problem `base64url_wrong` for padding, white space, other characters, an
 * impossible length and unused bits that are not zero; `what` names the text in the sentence.
 */
export function base64url_bytes(text, what = "text") {
  if (typeof text !== "string" || !ALPHABET.test(text) || text.length % 4 === 1) {
    throw new Problem("base64url_wrong", { what });
  }
  const binary = atob(text.replaceAll("-", "+").replaceAll("_", "/"));
  const data = Uint8Array.from(binary, (character) => character.charCodeAt(0));
  if (base64url_text(data) !== text) throw new Problem("base64url_wrong", { what });
  return data;
}

/** The base64url text of bytes written as hexadecimal `digits`. */
export function base64url_of_hex(digits) {
  return base64url_text(Uint8Array.from(digits.match(/../g) ?? [], (pair) => parseInt(pair, 16)));
}

/** The bytes of the base64url `text` as small hexadecimal digits. Throws Problem `base64url_wrong`. */
export function hex_of_base64url(text) {
  return Array.from(base64url_bytes(text), (byte) => byte.toString(16).padStart(2, "0")).join("");
}
