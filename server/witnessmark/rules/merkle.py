"""The hashes and proofs of the log's Merkle tree (RFC 9162 section 2.1, SHA-256). Hashes are 64 hexadecimal digits."""

import hashlib
import re

from .problems import Problem
from .strict_json import SAFE_INTEGER

EMPTY_ROOT = hashlib.sha256(b"").hexdigest()
HASH = re.compile(r"[0-9a-f]{64}")


def leaf_hash(leaf_text):
    """The hash of a leaf: SHA-256 of 0x00 and the UTF-8 of `leaf_text`. Raises Problem `json_text`."""
    try:
        data = leaf_text.encode("utf-8")
    except UnicodeEncodeError:
        raise Problem("json_text") from None
    return hashlib.sha256(b"\x00" + data).hexdigest()


def node_hash(left, right):
    """The hash of an inner node: SHA-256 of 0x01 and the two hashes below. Raises ValueError for other text."""
    return hashlib.sha256(b"\x01" + bytes.fromhex(left) + bytes.fromhex(right)).hexdigest()


def verify_inclusion(leaf, index, size, proof, root):
    """Whether `proof` (hashes) shows the leaf hash `leaf` at `index` of the tree of `size` leaves with `root`.

    RFC 9162 section 2.1.3.2. Malformed input is only False.
    """
    if not (_are_sizes(index, size) and _are_hashes([leaf, root]) and _are_hashes(proof)) or index >= size:
        return False
    fn, sn, r = index, size - 1, leaf
    for p in proof:
        if sn == 0:
            return False
        if fn % 2 or fn == sn:
            r = node_hash(p, r)
            while fn and not fn % 2:
                fn, sn = fn // 2, sn // 2
        else:
            r = node_hash(r, p)
        fn, sn = fn // 2, sn // 2
    return sn == 0 and r == root


def verify_consistency(first, first_root, second, second_root, proof):
    """Whether `proof` (hashes) shows that the tree of `second` leaves continues the tree of `first` leaves.

    RFC 9162 section 2.1.4.2. The empty tree and the same tree need an empty proof. Malformed input is only False.
    """
    if not (_are_sizes(first, second) and _are_hashes([first_root, second_root]) and _are_hashes(proof)):
        return False
    if first == second:
        return not proof and first_root == second_root and (first > 0 or first_root == EMPTY_ROOT)
    if first == 0:
        return not proof and first_root == EMPTY_ROOT
    if first > second or not proof:
        return False
    path = [first_root, *proof] if first & (first - 1) == 0 else proof
    fn, sn = first - 1, second - 1
    while fn % 2:
        fn, sn = fn // 2, sn // 2
    fr = sr = path[0]
    for c in path[1:]:
        if sn == 0:
            return False
        if fn % 2 or fn == sn:
            fr, sr = node_hash(c, fr), node_hash(c, sr)
            while fn and not fn % 2:
                fn, sn = fn // 2, sn // 2
        else:
            sr = node_hash(sr, c)
        fn, sn = fn // 2, sn // 2
    return fr == first_root and sr == second_root and sn == 0


def _are_sizes(*values):
    return all(type(value) is int and 0 <= value <= SAFE_INTEGER for value in values)


def _are_hashes(values):
    return isinstance(values, list) and all(isinstance(value, str) and HASH.fullmatch(value) for value in values)
