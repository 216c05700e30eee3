"""The log's tree against the definitions of RFC 9162 section 2.1, published values, and pymerkle (PyPI)."""

import json
from functools import cache
from hashlib import sha256

import pytest
from pymerkle import InmemoryTree

from witnessmark.rules.merkle import EMPTY_ROOT, leaf_hash, node_hash, verify_consistency, verify_inclusion
from witnessmark.rules.merkle_tree import added_nodes, consistency_proof, inclusion_proof, root

LARGEST = 70
LEAVES = [f'{{"kind":"entry","number":{number}}}' for number in range(LARGEST)]


class Kept:
    """A tree in a dict, which counts how often it is asked."""

    def __init__(self, leaves):
        self.nodes, self.asked, self.size = {}, 0, 0
        for leaf in leaves:
            self.append(leaf)

    def append(self, leaf):
        for level, position, value in added_nodes(self.size, leaf_hash(leaf), self.node):
            assert self.nodes.setdefault((level, position), value) == value
        self.size += 1

    def node(self, level, position):
        self.asked += 1
        return self.nodes[level, position]


@cache
def defined_root(start, end):
    """MTH of RFC 9162 section 2.1.1, over LEAVES[start:end]."""
    if start == end:
        return sha256(b"").hexdigest()
    if end - start == 1:
        return sha256(b"\x00" + LEAVES[start].encode()).hexdigest()
    k = largest_power_below(end - start)
    both = bytes.fromhex(defined_root(start, start + k)) + bytes.fromhex(defined_root(start + k, end))
    return sha256(b"\x01" + both).hexdigest()


def largest_power_below(n):
    k = 1
    while 2 * k < n:
        k *= 2
    return k


def defined_path(m, start, end):
    """PATH(m, D_n) of RFC 9162 section 2.1.3.1."""
    if end - start == 1:
        return []
    k = largest_power_below(end - start)
    if m < k:
        return [*defined_path(m, start, start + k), defined_root(start + k, end)]
    return [*defined_path(m - k, start + k, end), defined_root(start, start + k)]


def defined_subproof(m, start, end, b):
    """SUBPROOF(m, D_n, b) of RFC 9162 section 2.1.4.1."""
    n = end - start
    if m == n:
        return [] if b else [defined_root(start, end)]
    k = largest_power_below(n)
    if m <= k:
        return [*defined_subproof(m, start, start + k, b), defined_root(start + k, end)]
    return [*defined_subproof(m - k, start + k, end, False), defined_root(start, start + k)]


@pytest.fixture(scope="module")
def kept():
    return Kept(LEAVES)


def other(value):
    return value[:-1] + ("0" if value[-1] != "0" else "1")


def test_roots_are_those_of_the_definition_and_of_pymerkle(kept):
    tree = InmemoryTree(algorithm="sha256")
    for size in range(LARGEST + 1):
        assert root(size, kept.node) == defined_root(0, size)
        if size:
            tree.append_entry(LEAVES[size - 1].encode())
            assert root(size, kept.node) == tree.get_root().hex()
    assert root(0, kept.node) == EMPTY_ROOT


def test_every_complete_subtree_is_kept_once(kept):
    wanted = {(level, at) for level in range(7) for at in range(LARGEST >> level)}
    assert set(kept.nodes) == wanted
    for level, at in wanted:
        assert kept.nodes[level, at] == defined_root(at << level, at + 1 << level)


def test_inclusion_proofs_are_the_definitions_and_verify(kept):
    for size in range(1, LARGEST + 1):
        whole = defined_root(0, size)
        for index in range(size):
            proof = inclusion_proof(index, size, kept.node)
            assert proof == defined_path(index, 0, size)
            assert verify_inclusion(leaf_hash(LEAVES[index]), index, size, proof, whole)


def test_consistency_proofs_are_the_definitions_and_verify(kept):
    for second in range(LARGEST + 1):
        for first in range(second + 1):
            proof = consistency_proof(first, second, kept.node)
            assert proof == (defined_subproof(first, 0, second, True) if first else [])
            assert verify_consistency(first, defined_root(0, first), second, defined_root(0, second), proof)


def test_whatever_is_changed_in_an_inclusion_proof_is_refused(kept):
    for size in (1, 2, 3, 7, 8, 9, 33, LARGEST):
        whole = defined_root(0, size)
        for index in range(size):
            leaf, proof = leaf_hash(LEAVES[index]), inclusion_proof(index, size, kept.node)
            assert not verify_inclusion(other(leaf), index, size, proof, whole)
            assert not verify_inclusion(leaf, index, size, proof, other(whole))
            assert not verify_inclusion(leaf, index, size, [*proof, leaf], whole)
            assert not any(verify_inclusion(leaf, wrong, size, proof, whole) for wrong in range(size) if wrong != index)
            for at, step in enumerate(proof):
                assert not verify_inclusion(leaf, index, size, [*proof[:at], other(step), *proof[at + 1 :]], whole)
                assert not verify_inclusion(leaf, index, size, proof[:at] + proof[at + 1 :], whole)


def test_whatever_is_changed_in_a_consistency_proof_is_refused(kept):
    for second in (2, 3, 7, 8, 9, 33, LARGEST):
        for first in range(1, second):
            roots = [defined_root(0, first), defined_root(0, second)]
            proof = consistency_proof(first, second, kept.node)
            assert not verify_consistency(first, other(roots[0]), second, roots[1], proof)
            assert not verify_consistency(first, roots[0], second, other(roots[1]), proof)
            assert not verify_consistency(second, roots[1], first, roots[0], proof)
            assert not verify_consistency(first, roots[0], second, roots[1], [*proof, roots[0]])
            for at, step in enumerate(proof):
                changed = [*proof[:at], other(step), *proof[at + 1 :]]
                assert not verify_consistency(first, roots[0], second, roots[1], changed)
                assert not verify_consistency(first, roots[0], second, roots[1], proof[:at] + proof[at + 1 :])


def test_a_log_whose_past_was_changed_cannot_show_that_it_continues(kept):
    for changed in (0, 20, 39):
        forged = Kept([*LEAVES[:changed], "{}", *LEAVES[changed + 1 :]])
        proof, whole = consistency_proof(40, LARGEST, forged.node), root(LARGEST, forged.node)
        assert verify_consistency(40, root(40, forged.node), LARGEST, whole, proof)
        assert not verify_consistency(40, defined_root(0, 40), LARGEST, whole, proof)
        honest = consistency_proof(40, LARGEST, kept.node)
        assert not verify_consistency(40, defined_root(0, 40), LARGEST, whole, honest)


def test_published_values(root):
    """Certificate Transparency's reference values (tests/standards/merkle_tree.json)."""
    cases = json.loads((root / "tests/standards/merkle_tree.json").read_text("utf-8"))
    assert len(cases["cases"]) == cases["count"] == 15
    roots = {case["size"]: case for case in cases["cases"] if case["kind"] == "root"}
    trees = {size: Kept(case["leaves"]) for size, case in roots.items()}
    for size, case in roots.items():
        assert root_of(trees[size]) == case["root"]
    for case in cases["cases"]:
        if case["kind"] == "inclusion":
            assert inclusion_proof(case["index"], case["size"], trees[8].node) == case["proof"]
        elif case["kind"] == "consistency":
            assert consistency_proof(case["first"], case["second"], trees[8].node) == case["proof"]


def root_of(tree):
    return root(tree.size, tree.node)


def test_what_is_not_there_has_no_proof(kept):
    for index, size in ((-1, 5), (5, 5), (0, 0)):
        with pytest.raises(ValueError, match="no leaf"):
            inclusion_proof(index, size, kept.node)
    for first, second in ((6, 5), (-1, 5)):
        with pytest.raises(ValueError, match="does not continue"):
            consistency_proof(first, second, kept.node)


def test_a_large_log_is_asked_for_few_nodes():
    """A log of 2^40 + 2^39 + ... leaves that are all alike, so that every node is known by its level."""
    levels = [leaf_hash("{}")]
    for _ in range(45):
        levels.append(node_hash(levels[-1], levels[-1]))
    asked = []

    def node(level, _position):
        asked.append(level)
        return levels[level]

    size = 2**41 - 1
    whole = root(size, node)
    assert len(asked) <= 41
    for index in (0, 1, 2**40 - 1, 2**40, size - 1):
        asked.clear()
        proof = inclusion_proof(index, size, node)
        assert len(asked) <= 2 * 41
        assert verify_inclusion(levels[0], index, size, proof, whole)
    for first in (1, 2, 2**33 + 1, 2**40 - 1, 2**40, size - 1):
        before = root(first, node)
        asked.clear()
        proof = consistency_proof(first, size, node)
        assert len(asked) <= 2 * 41
        assert verify_consistency(first, before, size, whole, proof)
    asked.clear()
    assert len(added_nodes(size, levels[0], node)) == 42
    assert len(asked) == 41
