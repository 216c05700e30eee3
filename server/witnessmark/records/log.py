"""The log: what happened here, leaf by leaf, so bound together (RFC 9162) that no leaf can change unseen.

A leaf is written in the transaction of what it states. Phones keep the newest signed checkpoint and ask at each sync
for the proof that the log has only grown since; whoever holds an older one finds every rewriting.
"""

import json

from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat
from flask import current_app
from sqlalchemy import func, insert, select

from ..rules import merkle_tree
from ..rules.canonical import canonical_text
from ..rules.merkle import leaf_hash
from ..rules.problems import Problem
from ..rules.signed_note import checkpoint_text, signature_line
from .clock import unix_seconds, utc_text
from .database import db
from .log_tables import LogRecord, Node
from .tables import Shop


def append(session, kind, facts, entry=None):
    """Add the leaf {"kind", "at", **facts}. Returns its number, from 1. `session` is that of `writing()`."""
    return append_all(session, [(kind, facts, entry)])


def append_all(session, records):
    """As `append`, for many (kind, facts, entry id or None) at once. Returns the last one's number, the log's size."""
    before, fresh, rows = size(), {}, []

    def node(level, position):
        return fresh.get((level, position)) or _node(level, position)

    for number, (kind, facts, entry) in enumerate(records, before + 1):
        leaf = canonical_text({"kind": kind, "at": utc_text(), **facts})
        rows.append({"number": number, "kind": kind, "entry": entry, "leaf": leaf})
        for level, position, hash in merkle_tree.added_nodes(number - 1, leaf_hash(leaf), node):
            fresh[level, position] = hash
    if rows:
        session.execute(insert(LogRecord), rows)
        session.execute(insert(Node), [{"level": level, "position": position, "hash": hash}
                                       for (level, position), hash in fresh.items()])
    return before + len(rows)


def size():
    """How many leaves the log has."""
    return db.session.scalar(select(func.max(LogRecord.number))) or 0


def checkpoint():
    """{"size", "root": hex} of the log as it is now."""
    now = size()
    return {"size": now, "root": merkle_tree.root(now, _node)}


def note():
    """The checkpoint, signed by this server: a signed note (C2SP tlog-checkpoint) as text."""
    now = checkpoint()
    body = checkpoint_text(origin(), now["size"], now["root"])
    signature = current_app.extensions["witnessmark_log_key"].sign(body.encode())
    return body + "\n" + signature_line(origin(), public_key(), signature.hex())


def time_after(size):
    """When the log grew beyond its first `size` leaves, in Unix seconds, or None when it has not."""
    leaf = db.session.scalar(select(LogRecord.leaf).where(LogRecord.number == size + 1))
    return None if leaf is None else unix_seconds(json.loads(leaf)["at"])


def origin():
    """The name of this log and of its key."""
    return f"witnessmark/{db.session.get_one(Shop, 1).server}"


def public_key():
    """The public half of the key that signs the checkpoints, 64 hex digits."""
    key = current_app.extensions["witnessmark_log_key"].public_key()
    return key.public_bytes(Encoding.Raw, PublicFormat.Raw).hex()


def consistency(first, second=None):
    """[hex]: the proof that the first `first` leaves are the beginning of the first `second` (None: of all).

    Empty when there is nothing to prove: `first` is 0, as large as `second`, or larger. Raises Problem `not_found`
    when the log has no `second` leaves.
    """
    now = size()
    second = now if second is None else second
    if second > now:
        raise Problem("not_found", what="checkpoint")
    return merkle_tree.consistency_proof(first, second, _node) if 0 < first < second else []


def inclusion(entry, within=None):
    """{"number", "leaf", "size", "root", "proof": [hex]} of an entry's leaf in the tree of `within` leaves.

    None: of all leaves. Raises Problem `not_found` when the leaf is not among them, or the log has not so many.
    """
    now = size()
    within = now if within is None else within
    if within > now:
        raise Problem("not_found", what="checkpoint")
    row = db.session.scalar(select(LogRecord).where(LogRecord.entry == entry, LogRecord.number <= within))
    if row is None:
        raise Problem("not_found", what="entry")
    return {"number": row.number, "leaf": row.leaf, "size": within, "root": merkle_tree.root(within, _node),
            "proof": merkle_tree.inclusion_proof(row.number - 1, within, _node)}


def _node(level, position):
    return db.session.scalar(select(Node.hash).where(Node.level == level, Node.position == position))
