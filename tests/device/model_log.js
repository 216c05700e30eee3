/*
 * A log as RFC 9162 defines it, by its recursive definitions 2.1.1, 2.1.3.1 and 2.1.4.1 word for word and nothing clever: the
 * oracle for what a phone checks. Checkpoints are C2SP tlog-checkpoint notes.
 *
 *   new ModelLog(name)      leaves [text]      await note(leaves) -> text      await public_key() -> hex
 *   await root(leaves) -> hex                  await consistency(first, leaves) -> [hex]
 *   await path(at, leaves) -> [hex]
 */
import { checkpoint_text, signature_line } from "../../client/rules/signed_note.js";

const hex = (buffer) => Array.from(new Uint8Array(buffer), (byte) => byte.toString(16).padStart(2, "0")).join("");
const bytes = (text) => Uint8Array.from(text.match(/../g) ?? [], (pair) => parseInt(pair, 16));
const sha256 = async (data) => hex(await crypto.subtle.digest("SHA-256", Uint8Array.from(data)));

const known = new Map();

/** MTH(D[n]), each worked out once. */
export function root(leaves) {
  const name = JSON.stringify(leaves);
  if (!known.has(name)) known.set(name, worked_out(leaves));
  return known.get(name);
}

async function worked_out(leaves) {
  if (!leaves.length) return sha256([]);
  if (leaves.length === 1) return sha256([0, ...new TextEncoder().encode(leaves[0])]);
  const k = below(leaves.length);
  return sha256([1, ...bytes(await root(leaves.slice(0, k))), ...bytes(await root(leaves.slice(k)))]);
}

/** PROOF(m, D[n]). */
export function consistency(first, leaves) {
  return first > 0 && first < leaves.length ? subproof(first, leaves, true) : [];
}

async function subproof(m, leaves, whole) {
  if (m === leaves.length) return whole ? [] : [await root(leaves)];
  const k = below(leaves.length);
  if (m <= k) return [...await subproof(m, leaves.slice(0, k), whole), await root(leaves.slice(k))];
  return [...await subproof(m - k, leaves.slice(k), false), await root(leaves.slice(0, k))];
}

/** PATH(m, D[n]), 2.1.3.1: the proof for the leaf at `m`. */
export async function path(m, leaves) {
  if (leaves.length < 2) return [];
  const k = below(leaves.length);
  if (m < k) return [...await path(m, leaves.slice(0, k)), await root(leaves.slice(k))];
  return [...await path(m - k, leaves.slice(k)), await root(leaves.slice(0, k))];
}

/** The largest power of two smaller than n. */
function below(n) {
  let k = 1;
  while (k * 2 < n) k *= 2;
  return k;
}

export class ModelLog {
  #pair = crypto.subtle.generateKey("Ed25519", true, ["sign", "verify"]);

  constructor(name) {
    this.name = name;
  }

  async public_key() {
    return hex(await crypto.subtle.exportKey("raw", (await this.#pair).publicKey));
  }

  async note(leaves, origin = this.name) {
    const body = checkpoint_text(origin, leaves.length, await root(leaves));
    const signature = await crypto.subtle.sign("Ed25519", (await this.#pair).privateKey, new TextEncoder().encode(body));
    return `${body}\n${await signature_line(this.name, await this.public_key(), hex(signature))}`;
  }
}
