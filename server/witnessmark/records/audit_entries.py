"""Every entry looked at anew: its id, signature, leaf in the log, place in its phone's chain, and checkpoint."""

from collections import defaultdict

from sqlalchemy import select

from ..rules.entry import content_id
from ..rules.signature import verify
from . import keys
from .audit_log import AT_ONCE, Line
from .clock import unix_seconds
from .database import db
from .receipt import opened
from .shop import shop
from .tables import Entry, Quarantine

# Row and leaf are written in one delivery, a moment apart.
LONGEST_DELIVERY_S = 600


class EntryAudit:
    """One pass over all entries. `leaves` is what the log states, `vouches` the VouchAudit of the same."""

    def __init__(self, leaves, vouches):
        self._leaves, self._vouches = leaves, vouches
        self._keys = {key["kid"]: key for key in keys.all_keys()}
        self._begun = {facts.get("kid"): number for number, facts in leaves.of_kind["key"]}
        self._ended = {facts.get("kid"): number for number, facts in leaves.of_kind["key_ended"]}
        self._server = shop()["server"]
        self._seen, self._admits = set(), {}
        self._chains, self._checkpoints = defaultdict(dict), {}
        self._signatures, self._arrivals = [], []

    def lines(self):
        """The Lines of all entries."""
        rows = db.session.scalars(select(Entry).execution_options(yield_per=AT_ONCE))
        for row in rows:
            self._seen.add(row.id)
            if found := self._signed_wrong(row):
                self._signatures.append(f"Entry {row.id[:16]}: {found}")
        self._check_arrivals()
        return [Line("signatures", len(self._seen), self._signatures),
                Line("arrivals", len(self._leaves.entries), self._arrivals), self._chain_line(),
                self._checkpoint_line()]

    def _signed_wrong(self, row):
        entry = opened(row.text)
        if entry["problem"] is not None:
            return entry["problem"].sentence
        payload, key = entry["payload"], self._keys.get(entry["signed"]["kid"])
        self._note(row.id, payload)
        columns = (row.id, row.card, row.item, row.kind, row.person, row.device, row.sequence)
        if columns != (entry["id"], payload["card"], payload["item"], payload["kind"], payload["author"]["person"],
                       payload["device"], payload["sequence"]):
            return "its row says something else than what was signed."
        if payload["server"] != self._server:
            return "it was signed for another shop's server."
        if key is None:
            return "nobody in this shop ever had the key that signed it."
        if not verify(entry["signed"], key["jwk"]):
            return f"the signature is not that of {payload['author']['name']}, or the entry was changed."
        if (key["person"], key["device"]) != (payload["author"]["person"], payload["device"]):
            return "the key that signed it is another person's or another phone's."
        return self._arrived_wrong(row, entry["signed"]["kid"])

    def _arrived_wrong(self, row, kid):
        number, facts = self._leaves.entries.get(row.id, (None, None))
        if number is None:
            return "the log does not state its arrival."
        if facts.get("signed") != content_id(row.text):
            return "the log states the arrival of other bytes."
        if _apart_s(facts.get("at"), row.received_at) > LONGEST_DELIVERY_S:
            return "its row says that it arrived at another time than the log states."
        if not self._begun.get(kid, number) < number:
            return "it arrived before its key was known."
        if self._vouches.unvouched(kid, number):
            return "it was taken in before anybody had vouched for its key."
        if self._ended.get(kid, number) < number and "admitted_by" not in facts:
            return "it arrived after its key was ended, and nobody took it in."
        return None

    def _note(self, id, payload):
        self._chains[payload["device"]].setdefault(payload["sequence"], []).append((id, payload["previous"]))
        if payload["kind"] == "admission":
            self._admits[id] = payload["body"]["entry"]
        if payload["checkpoint"] is not None:
            self._checkpoints.setdefault((payload["checkpoint"]["size"], payload["checkpoint"]["root"]), id)

    def _check_arrivals(self):
        for id, (number, facts) in self._leaves.entries.items():
            if id not in self._seen:
                self._arrivals.append(f"Leaf {number} states the arrival of the entry {str(id)[:16]}, which is gone.")
            if "admitted_by" in facts and self._admits.get(facts["admitted_by"]) != id:
                self._arrivals.append(f"Leaf {number}: the admission of the entry {str(id)[:16]} is not there.")

    def _chain_line(self):
        refused = set(db.session.scalars(select(Quarantine.id)))
        findings = []
        for device, chain in sorted(self._chains.items()):
            for sequence, made in sorted(chain.items()):
                before = {id for id, _ in chain.get(sequence - 1, ())}
                if len(made) > 1:
                    findings.append(f"Phone {device[:8]} has two entries with the number {sequence}.")
                for id, previous in made:
                    if before and previous not in before:
                        findings.append(f"Phone {device[:8]}: entry {id[:16]} (number {sequence}) does not follow the "
                                        f"entry that is here as number {sequence - 1}. The phone's records were "
                                        "copied or set back: ask who used it.")
                    elif not before and previous is not None and previous not in refused:
                        findings.append(f"Phone {device[:8]}: what it recorded before number {sequence} is not here. "
                                        "It may still be on the phone: connect it. If it is not there either, "
                                        "somebody removed it.")
        return Line("chain", sum(len(chain) for chain in self._chains.values()), findings)

    def _checkpoint_line(self):
        findings = [f"Entry {id[:16]} names the log with {size} leaves as its phone saw it; this log was never like "
                    "that. It was rewritten, or restored from a backup."
                    for (size, root), id in sorted(self._checkpoints.items()) if self._leaves.root_at(size) != root]
        return Line("checkpoints", len(self._checkpoints), findings)


def _apart_s(one, other):
    try:
        return abs(unix_seconds(one) - unix_seconds(other))
    except (ValueError, TypeError):
        return float("inf")
