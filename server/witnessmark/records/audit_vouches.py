"""Vouching looked at anew: which keys needed a vouch follows from the log, and each vouch is verified."""

from sqlalchemy import select

from ..rules.problems import Problem
from . import keys
from .audit_log import Line
from .database import db
from .log_tables import Vouch
from .new_starts import NEW_START
from .shop import shop
from .vouching import logged, read


class VouchAudit:
    """What the log states of keys, new starts and vouches. `leaves` as of `audit_log.read_leaves`."""

    def __init__(self, leaves):
        self._stated = {facts.get("kid"): (number, facts) for number, facts in leaves.of_kind["vouched"]}
        self._begun = {facts.get("kid"): (number, facts) for number, facts in leaves.of_kind["key"]}
        self._ended = {facts.get("kid"): number for number, facts in leaves.of_kind["key_ended"]}
        self._starts = [(number, facts) for number, facts in leaves.of_kind["person"] if facts.get("what") == NEW_START]
        self._keys = {key["kid"]: key for key in keys.all_keys()}
        self._server = shop()["server"]

    def unvouched(self, kid, number):
        """Did the key `kid` still need a vouch when leaf `number` was written? By the log, not by the table."""
        if kid not in self._begun or self._since(kid) is None:
            return False
        return self._stated.get(kid, (number, None))[0] >= number

    def line(self):
        """The Line of vouches: each key's need, each vouch, and its leaf."""
        rows = db.session.scalars(select(Vouch)).all()
        findings = [f"The key {kid[:8]}: whether it needs a vouch is not as it follows from the log."
                    for kid, key in self._keys.items() if {key["vouch_needed"], self._told(kid)}
                    != {self._since(kid) is not None}]
        findings += [f"The vouch for the key {row.kid[:8]}: {found}" for row in rows if (found := self._wrong(row))]
        findings += [f"In the log, but not here: the vouch for the key {str(kid)[:8]}."
                     for kid in sorted(self._stated.keys() - {row.kid for row in rows}, key=str)]
        return Line("vouches", len(rows), findings)

    def _told(self, kid):
        """What the leaf of the key says of its need. Leaves of before there was vouching say nothing: none."""
        return self._begun.get(kid, (0, {}))[1].get("vouch_needed", False)

    def _since(self, kid):
        """The leaf of the author's new start because of which this key needed a vouch, or None."""
        begun, stated = self._begun.get(kid, (0, {}))
        if "vouch_needed" not in stated:
            return None
        starts = [facts for number, facts in self._starts
                  if number < begun and facts.get("person") == stated.get("person")]
        return starts[-1] if starts and starts[-1].get("by") is not None else None

    def _wrong(self, row):
        try:
            said, signer = read(row.text)
        except Problem as problem:
            return problem.sentence
        person = self._keys.get(row.kid, {}).get("person")
        if (said["kid"], said["person"], said["by"], said["server"]) != (row.kid, person, row.person, self._server):
            return "its row says something else than was signed."
        number, facts = self._stated.get(row.kid, (None, {}))
        if {name: facts.get(name) for name in ("kid", "person", "by", "signed")} != logged(row.kid, said, row.text):
            return "the log does not state it like that."
        return self._not_entitled(number, said, signer["kid"])

    def _not_entitled(self, number, said, kid):
        since = self._since(said["kid"])
        if since is None or said["by"] in (said["person"], since["by"]):
            return "the key needed none, or its own person or the author of the new start gave it."
        if not self._begun.get(kid, (number, {}))[0] < number or self._ended.get(kid, number) < number:
            return "the key that signed it was not known yet, or was ended."
        return "the key that signed it waited for a vouch itself." if self.unvouched(kid, number) else None
