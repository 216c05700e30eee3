"""A phone without a screen: makes entries by the shop's own rules, as the real one does. For the demo and the tests."""

import secrets
from decimal import Decimal

from .rules.card_state import fold
from .rules.entry import content_id, entry_text, make_entry
from .rules.readings import judge_reading
from .rules.sign_off import statement


class Phone:
    """One phone. `server` is the server id; `now` returns the claimed time as UTC text."""

    def __init__(self, server, now, device=None):
        self.server, self.now = server, now
        self.device = device or secrets.token_hex(16)
        self.sequence, self.previous = 0, None

    def make(self, person, card, kind, item, body, supersedes=()):
        """A new entry {"id", "payload", "text"} by `person` (facts as in the API) on `card` (as in the API)."""
        author = {name: person[name] for name in ("person", "name", "certificate")}
        payload = make_entry({
            "kind": kind, "server": self.server, "card": card["card"], "revision": card["revision"],
            "aircraft": card["aircraft"], "item": item, "supersedes": list(supersedes), "author": author,
            "device": self.device, "sequence": self.sequence + 1, "previous": self.previous, "checkpoint": None,
            "claimed_at": self.now(), "body": body})
        text = entry_text(payload)
        self.sequence, self.previous = self.sequence + 1, content_id(text)
        return {"id": self.previous, "payload": payload, "text": text}

    def countersign(self, person, card, item, covers):
        """A countersignature of the entries `covers`."""
        return self.make(person, card, "countersignature", item,
                         {"covers": list(covers), "statement": statement("countersignature", {})})

    def release(self, person, card, template, entries):
        """A release that covers the card as it stands with `entries`."""
        return self.make(person, card, "release", None, {
            "covers": fold(template, entries)["covers"], "times": card["times"], "discrepancies": [],
            "statement": statement("release", {"title": card["title"], "number": card["number"]})})


def passing(item, tools, photo):
    """The body of a result that passes `item`."""
    readings = {field["field"]: fitting_reading(field, tools) for field in item["fields"]}
    photos = [photo(item)] if item["photo"]["rule"] == "required" else []
    return {"result": "pass", "readings": readings, "note": "", "photos": photos, "discrepancy": None}


def failing(what, where):
    """The body of a result that fails an item."""
    return {"result": "fail", "readings": {}, "note": "", "photos": [], "discrepancy": {"what": what, "where": where}}


def fitting_reading(field, tools):
    """A reading inside the limits of `field`, with what follows from it worked out."""
    values = [FITTING[field["kind"]](field, index) for index in range(len(field["stations"]) or 1)]
    serials = [tools.get(field["tool"], tools[""])] if field["tool"] else []
    reading = {"values": values, "unit": field["unit"], "tools": serials, "inputs": {}, "derived": {}}
    return {**reading, "derived": judge_reading(field, reading)["derived"]}


def _between(field, _index):
    limits = field["limits"] or {"min": None, "max": None}
    low, high = limits["min"], limits["max"]
    if low is None and high is None:
        return "1.0"
    given = Decimal(high if high is not None else low)
    middle = (Decimal(low) + given) / 2 if low is not None else given / 2
    return str(middle.quantize(given))


def _swing(field, index):
    limits = field["limits"] or {"max": None}
    most = Decimal(limits["max"] or "0.004")
    return str((most * (index % 4) / 8).quantize(most))


def _chosen(field, _index):
    return (field["acceptable"] or field["options"])[0]


def _told(_field, _index):
    return "as found"


FITTING = {"measure": _between, "torque": _between, "run_out": _swing, "choice": _chosen, "text": _told}
