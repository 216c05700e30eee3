"""The log looked at anew: its tree worked out from the leaves alone, and what the leaves state."""

from collections import defaultdict, namedtuple

from sqlalchemy import func, select

from ..rules import merkle_tree
from ..rules.canonical import read_canonical
from ..rules.merkle import leaf_hash, node_hash
from ..rules.problems import Problem
from .database import db
from .log_tables import LogRecord, Node

AT_ONCE = 1000

Line = namedtuple("Line", "kind checked findings")
Line.__doc__ = "One line of an audit: its kind, how many were checked, and a sentence for each that is wrong."


class Leaves:
    """What the log states: `of_kind` {kind: [(number, facts)]}, `entries` {entry id: (number, facts)}, and its tree."""

    def __init__(self):
        self.of_kind, self.entries, self.levels, self.findings = defaultdict(list), {}, [[]], []

    @property
    def size(self):
        return len(self.levels[0])

    def node(self, level, position):
        """The hash of the complete subtree of 2^level leaves at `position`, from the leaves alone."""
        return self.levels[level][position]

    def root_at(self, size):
        """The root this log had with `size` leaves, or None when it never had as many."""
        return merkle_tree.root(size, self.node) if size <= self.size else None


def read_leaves():
    """(Leaves, its Line): every leaf read and hashed, the kept nodes compared with those that follow from them."""
    leaves = Leaves()
    rows = db.session.scalars(select(LogRecord).order_by(LogRecord.number).execution_options(yield_per=AT_ONCE))
    for expected, row in enumerate(rows, 1):
        if row.number != expected:
            leaves.findings.append(f"Leaf {expected} of the log is missing; {row.number} comes next.")
            break
        leaves.levels[0].append(leaf_hash(row.leaf))
        _read(leaves, row)
    while len(leaves.levels[-1]) > 1:
        below = leaves.levels[-1]
        leaves.levels.append([node_hash(below[at], below[at + 1]) for at in range(0, len(below) - 1, 2)])
    _compare_nodes(leaves)
    return leaves, Line("log", leaves.size, leaves.findings)


def _read(leaves, row):
    try:
        facts = read_canonical(row.leaf)
    except Problem as problem:
        leaves.findings.append(f"Leaf {row.number} of the log cannot be read: {problem.sentence}")
        return
    if not isinstance(facts, dict) or facts.get("kind") != row.kind:
        leaves.findings.append(f"Leaf {row.number} of the log is of another kind than its row says.")
        return
    named = facts.get("id") if row.kind == "entry" else None
    if named != row.entry:
        leaves.findings.append(f"Leaf {row.number} of the log names another entry than its row.")
    if row.kind != "entry":
        leaves.of_kind[row.kind].append((row.number, facts))
    elif named in leaves.entries:
        leaves.findings.append(f"Leaf {row.number} of the log states the arrival of {named} a second time.")
    else:
        leaves.entries[named] = (row.number, facts)


def _compare_nodes(leaves):
    for level, hashes in enumerate(leaves.levels):
        kept = db.session.execute(select(Node.position, Node.hash).where(Node.level == level).order_by(Node.position)
                                  .execution_options(yield_per=AT_ONCE))
        found, wrong = 0, 0
        for position, hash in kept:
            found += 1
            wrong += position >= len(hashes) or hashes[position] != hash
        if wrong or found != len(hashes):
            leaves.findings.append(f"Level {level} of the log's tree does not follow from the leaves: {wrong} of "
                                   f"{found} nodes are wrong, {len(hashes)} should be there.")
    highest = db.session.scalar(select(func.max(Node.level)))
    if highest is not None and highest >= len(leaves.levels):
        leaves.findings.append("The log's tree is higher than its leaves allow.")
