"""The log's Merkle tree as the server keeps it (RFC 9162 section 2.1): roots and proofs from kept nodes.

`node(level, position)` gives the hash of the complete subtree over the leaves position * 2^level up to
(position + 1) * 2^level - 1; level 0 is the leaf hashes. Hashes are 64 hexadecimal digits. Every function asks
for at most 2 log2(size) nodes.
"""

from .merkle import EMPTY_ROOT, node_hash


def added_nodes(size_before, leaf_hash, node):
    """What appending one leaf to `size_before` leaves completes: a list of (level, position, hash), the leaf first."""
    level, position, added = 0, size_before, leaf_hash
    completed = [(level, position, added)]
    while position % 2:
        added = node_hash(node(level, position - 1), added)
        level, position = level + 1, position // 2
        completed.append((level, position, added))
    return completed


def root(size, node):
    """The root of the first `size` leaves."""
    return _range(0, size, node) if size else EMPTY_ROOT


def inclusion_proof(index, size, node):
    """The proof that leaf `index` is in the first `size` leaves: hashes from the leaf up (section 2.1.3.1).

    Raises ValueError when there is no such leaf.
    """
    if not 0 <= index < size:
        raise ValueError(f"no leaf {index} in a tree of {size}")
    proof, start, end = [], 0, size
    while end - start > 1:
        middle = start + _split(end - start)
        if index < middle:
            proof.append(_range(middle, end, node))
            end = middle
        else:
            proof.append(_range(start, middle, node))
            start = middle
    return proof[::-1]


def consistency_proof(first, second, node):
    """The proof that the first `second` leaves continue the first `first` (section 2.1.4.1); [] for 0 and for equal.

    Raises ValueError when `first` is larger.
    """
    if not 0 <= first <= second:
        raise ValueError(f"a tree of {second} does not continue one of {first}")
    if first in (0, second):
        return []
    proof, start, end, whole = [], 0, second, True
    while first != end:
        middle = start + _split(end - start)
        if first <= middle:
            proof.append(_range(middle, end, node))
            end = middle
        else:
            proof.append(_range(start, middle, node))
            start, whole = middle, False
    return ([] if whole else [_range(start, end, node)]) + proof[::-1]


def _split(size):
    """The largest power of two smaller than `size`."""
    return 1 << (size - 1).bit_length() - 1


def _range(start, end, node):
    """The hash over the leaves from `start` (a multiple of the largest power of two in the range) up to `end`."""
    peaks = []
    while start < end:
        level = (end - start).bit_length() - 1
        peaks.append(node(level, start >> level))
        start += 1 << level
    found = peaks.pop()
    while peaks:
        found = node_hash(peaks.pop(), found)
    return found
