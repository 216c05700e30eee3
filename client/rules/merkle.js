/*
 * The hashes and proofs of the log's Merkle tree (RFC 9162 section 2.1, SHA-256). Hashes are 64 hexadecimal digits.
 * Twin of server/witnessmark/rules/merkle.py, held equal by tests/vectors/merkle.json.
 */
import { Problem } from "./problems.js";

export const EMPTY_ROOT = "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855";

const HASH = /^[0-9a-f]{64}$/;
const LONE_SURROGATE = /\p{Surrogate}/u;

/** Promise of the hash of a leaf: SHA-256 of 0x00 and the UTF-8 of `leaf_text`. Throws Problem `json_text`. */
export async function leaf_hash(leaf_text) {
  if (LONE_SURROGATE.test(leaf_text)) throw new Problem("json_text", {});
  return sha256([0, ...new TextEncoder().encode(leaf_text)]);
}

/** Promise of the hash of an inner node: SHA-256 of 0x01 and the two hashes below. */
export async function node_hash(left, right) {
  return sha256([1, ...bytes_of(left), ...bytes_of(right)]);
}

/**
 * Promise of whether `proof` (hashes) shows the leaf hash `leaf` at `index` of the tree of `size` leaves with `root`.
 * RFC 9162 section 2.1.3.2. Malformed input is only false.
 */
export async function verify_inclusion(leaf, index, size, proof, root) {
  if (!(are_sizes(index, size) && are_hashes([leaf, root]) && are_hashes(proof)) || index >= size) return false;
  let [fn, sn, r] = [index, size - 1, leaf];
  for (const p of proof) {
    if (sn === 0) return false;
    if (fn % 2 || fn === sn) {
      r = await node_hash(p, r);
      while (fn && !(fn % 2)) [fn, sn] = [half(fn), half(sn)];
    } else {
      r = await node_hash(r, p);
    }
    [fn, sn] = [half(fn), half(sn)];
  }
  return sn === 0 && r === root;
}

/**
 * Promise of whether `proof` (hashes) shows that the tree of `second` leaves continues the tree of `first` leaves.
 * RFC 9162 section 2.1.4.2. The empty tree and the same tree need an empty proof. Malformed input is only false.
 */
export async function verify_consistency(first, first_root, second, second_root, proof) {
  if (!(are_sizes(first, second) && are_hashes([first_root, second_root]) && are_hashes(proof))) return false;
  const empty = proof.length === 0;
  if (first === second) return empty && first_root === second_root && (first > 0 || first_root === EMPTY_ROOT);
  if (first === 0) return empty && first_root === EMPTY_ROOT;
  if (first > second || empty) return false;
  const path = is_power_of_two(first) ? [first_root, ...proof] : proof;
  let [fn, sn] = [first - 1, second - 1];
  while (fn % 2) [fn, sn] = [half(fn), half(sn)];
  let [fr, sr] = [path[0], path[0]];
  for (const c of path.slice(1)) {
    if (sn === 0) return false;
    if (fn % 2 || fn === sn) {
      [fr, sr] = [await node_hash(c, fr), await node_hash(c, sr)];
      while (fn && !(fn % 2)) [fn, sn] = [half(fn), half(sn)];
    } else {
      sr = await node_hash(sr, c);
    }
    [fn, sn] = [half(fn), half(sn)];
  }
  return fr === first_root && sr === second_root && sn === 0;
}

async function sha256(bytes) {
  return hex_of(new Uint8Array(await crypto.subtle.digest("SHA-256", Uint8Array.from(bytes))));
}

function hex_of(data) {
  return Array.from(data, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

function bytes_of(hash) {
  return hash.match(/../g).map((pair) => parseInt(pair, 16));
}

// Sizes go up to 2^53 - 1, and JavaScript's shift operators end at 32 bits.
function half(value) {
  return Math.floor(value / 2);
}

function is_power_of_two(value) {
  while (value % 2 === 0) value /= 2;
  return value === 1;
}

function are_sizes(...values) {
  return values.every((value) => Number.isSafeInteger(value) && value >= 0);
}

function are_hashes(values) {
  return Array.isArray(values) && values.every((value) => typeof value === "string" && HASH.test(value));
}
