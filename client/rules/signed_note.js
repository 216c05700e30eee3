/*
 * Checkpoints of the log as signed notes (C2SP tlog-checkpoint and signed-note), signed with Ed25519 (RFC 8032).
 * Twin of server/witnessmark/rules/signed_note.py, which shows the format; held equal by tests/vectors/signed_note.json.
 */
import { base64url_bytes, base64url_of_hex, hex_of_base64url } from "./base64url.js";
import { Problem } from "./problems.js";

const ED25519 = 1;
const HASH = /^[0-9a-f]{64}$/;
const SIGNATURE = /^[0-9a-f]{128}$/;
const ORIGIN = /^[ -~]+$/;
const NAME = /^[!-*,-~]+$/;
const SIZE = /^(?:0|[1-9][0-9]{0,15})$/;
const BASE64 = /^(?:[A-Za-z0-9+/]{4})*(?:[A-Za-z0-9+/]{2}==|[A-Za-z0-9+/]{3}=)?$/;
const LINE = /^— ([^ ]+) ([^ ]+)$/;

/** The body for a tree of `size` leaves with `root` (hex) in the log `origin`. Throws Problem `note_malformed`. */
export function checkpoint_text(origin, size, root) {
  matches(ORIGIN, origin, "the origin is not one line of ASCII");
  if (!Number.isSafeInteger(size) || size < 0) {
    throw new Problem("note_malformed", { why: "the size is not a whole number up to 2^53 - 1" });
  }
  matches(HASH, root, "the root is not 32 bytes");
  return `${origin}\n${size}\n${base64_of_hex(root)}\n`;
}

/**
 * Take apart a signed note: { origin, size, root (hex), body, signatures }; nothing is verified yet. `signatures` is
 * a list of { name, key_id (8 hex digits), signature (base64 without the key id) }. A body with further lines is
 * refused, as this log writes none. Throws Problem `note_malformed`.
 */
export function read_checkpoint(note) {
  const lines = typeof note === "string" ? note.split("\n") : [];
  if (lines.length < 6 || lines[3] || lines.at(-1)) {
    throw new Problem("note_malformed", { why: "it is not three lines, an empty line and signatures" });
  }
  matches(ORIGIN, lines[0], "the origin is not one line of ASCII");
  matches(SIZE, lines[1], "the size is not a plain decimal number");
  const [origin, size] = [lines[0], Number(lines[1])];
  const root = hex_of_base64(lines[2], "the root is not strict base64");
  return { origin, size, root, body: checkpoint_text(origin, size, root), signatures: lines.slice(4, -1).map(signature_of) };
}

/** Promise of the id of the Ed25519 key `public_key` (64 hex digits) under `name`: 8 hex digits.
 * Throws Problem `note_malformed`. */
export async function key_id(name, public_key) {
  matches(NAME, name, "the name of the key holds a space, a plus sign or no ASCII");
  matches(HASH, public_key, "the key is not 32 bytes");
  const data = [...new TextEncoder().encode(`${name}\n`), ED25519, ...bytes_of_hex(public_key)];
  const digest = await crypto.subtle.digest("SHA-256", Uint8Array.from(data));
  return hex_of(new Uint8Array(digest).slice(0, 4));
}

/** Promise of the line, with its line end, for `signature` (128 hex digits) over a body; the note is body, "\n",
 * this line. Throws Problem `note_malformed`. */
export async function signature_line(name, public_key, signature) {
  matches(SIGNATURE, signature, "the signature is not 64 bytes");
  return `— ${name} ${base64_of_hex(await key_id(name, public_key) + signature)}\n`;
}

/**
 * Promise of whether the Ed25519 key `public_key` (64 hex digits), known as `name`, has signed `note`. Lines of other
 * keys are ignored. Throws Problem `note_malformed`, or `note_unverifiable` when this browser lacks Ed25519.
 */
export async function verify_note(note, name, public_key) {
  const known = await key_id(name, public_key);
  const { body, signatures } = read_checkpoint(note);
  const own = signatures.filter((one) => one.name === name && one.key_id === known);
  if (!own.length) return false;
  const key = await imported(public_key);
  for (const { signature } of own) {
    const data = bytes_of_hex(hex_of_base64(signature, "a signature is not strict base64"));
    if (!await crypto.subtle.verify("Ed25519", key, data, new TextEncoder().encode(body))) return false;
  }
  return true;
}

async function imported(public_key) {
  try {
    return await crypto.subtle.importKey("raw", bytes_of_hex(public_key), "Ed25519", false, ["verify"]);
  } catch (error) {
    if (error.name !== "NotSupportedError") throw error;
    throw new Problem("note_unverifiable", {});
  }
}

function signature_of(line) {
  const found = LINE.exec(line);
  if (!found) throw new Problem("note_malformed", { why: "a signature is not a dash, a name and base64" });
  matches(NAME, found[1], "the name of a key holds a plus sign or no ASCII");
  const digits = hex_of_base64(found[2], "a signature is not strict base64");
  if (digits.length <= 8) throw new Problem("note_malformed", { why: "a signature is too short" });
  return { name: found[1], key_id: digits.slice(0, 8), signature: base64_of_hex(digits.slice(8)) };
}

function matches(pattern, text, why) {
  if (typeof text !== "string" || !pattern.test(text)) throw new Problem("note_malformed", { why });
}

function base64_of_hex(digits) {
  const text = base64url_of_hex(digits).replaceAll("-", "+").replaceAll("_", "/");
  return text.padEnd(Math.ceil(text.length / 4) * 4, "=");
}

function hex_of_base64(text, why) {
  matches(BASE64, text, why);
  try {
    return hex_of_base64url(text.replaceAll("=", "").replaceAll("+", "-").replaceAll("/", "_"));
  } catch (error) {
    if (!(error instanceof Problem)) throw error;
    throw new Problem("note_malformed", { why });
  }
}

function bytes_of_hex(digits) {
  return base64url_bytes(base64url_of_hex(digits));
}

function hex_of(data) {
  return Array.from(data, (byte) => byte.toString(16).padStart(2, "0")).join("");
}
