"""Made-up cards and histories for the rules: small, readable, with real ids."""

from witnessmark.rules import entry

SERVER, CARD, PHONE = "5e" * 16, "ca" * 16, "d0" * 16
ANN, BOB, INA, IVO = "a1" * 16, "b0" * 16, "1a" * 16, "10" * 16
NAMES = {ANN: "Ann Mechanic", BOB: "Bob Mechanic", INA: "Ina Inspector", IVO: "Ivo Inspector"}


def field(name="gap", kind="measure", **changes):
    base = {"field": name, "kind": kind, "title": "Gap", "unit": "in", "stations": [],
            "limits": {"min": "0.010", "max": "0.020"}, "source": "invented", "tool": None,
            "options": [], "acceptable": [], "required": True}
    return base | changes


def item(name="bolt", countersign=False, fields=(), controls=False, **changes):
    base = {"item": name, "title": "Bolt", "cautions": [], "do": "Look.", "look_for": ["cracks"], "why": "It holds.",
            "photo": {"rule": "none", "of": None},
            "countersign": {"needed": countersign, "reason": "It can kill." if countersign else None,
                            "controls": controls},
            "not_applicable": True, "fields": list(fields)}
    return base | changes


def template(*items):
    return {"format": "1", "card": "trial", "title": "Trial card", "scope": "Trial.", "inspection": "100-hour",
            "record": "inspection", "whole": True,
            "applies_to": "Nothing that flies", "cautions": ["Battery off."], "references": [],
            "zones": [{"zone": "mast", "title": "Mast", "items": list(items) or [item()]}]}


def reading(*values, unit="in", tools=(), inputs=None, derived=None):
    return {"values": list(values), "unit": unit, "inputs": inputs or {}, "tools": [tool(one) for one in tools],
            "derived": derived or {}}


def tool(serial, until=None):
    return serial if isinstance(serial, dict) else {"serial": serial, "calibrated_until": until}


def result(said="pass", readings=None, note="", photos=()):
    found = {"what": "A crack.", "where": "At the root."} if said == "fail" else None
    return {"result": said, "readings": readings or {}, "note": note, "photos": list(photos), "discrepancy": found}


DISCREPANCY = {"item": "bolt", "what": "A crack.", "where": "At the root."}


def approval(covers, *discrepancies):
    return {"covers": covers, "statement": "Released.", "record": "inspection", "date": "2026-11-25",
            "inspection": {"type": "100-hour", "extent": "Trial."}, "work": None,
            "times": {"airframe": {"value": "1234.5", "unit": "h"}}, "discrepancies": list(discrepancies)}


def correction(action="Replaced the bolt."):
    return {"action": action, "readings": {}, "note": "", "photos": []}


class Phone:
    """A phone that makes entries the way the app does; `entries` are all it made, in order."""

    def __init__(self, device=PHONE):
        self.device, self.entries = device, []

    def makes(self, author, kind, body, item="bolt", over=(), **changes):
        """Make an entry by `author` that supersedes the entries `over`; returns {"id", "payload", "text"}."""
        facts = {"kind": kind, "server": SERVER, "card": CARD, "revision": "0" * 64,
                 "aircraft": {"registration": "N0417W", "serial_number": "0042"}, "item": item,
                 "supersedes": [old["id"] for old in over],
                 "author": {"person": author, "name": NAMES.get(author, "Somebody"),
                            "certificate": {"kind": "mechanic", "number": "0000001"}},
                 "device": self.device, "sequence": len(self.entries) + 1,
                 "previous": self.entries[-1]["id"] if self.entries else None, "checkpoint": None,
                 "claimed_at": "2026-11-25T08:00:00Z", "body": body,
                 "unlocked": {"by": "code", "at": "2026-11-25T08:00:00Z", "use": 1}} | changes
        payload = entry.make_entry(facts)
        text = entry.entry_text(payload)
        made = {"id": entry.content_id(text), "payload": payload, "text": text}
        self.entries.append(made)
        return made

    def records(self, author, said="pass", over=(), **body):
        return self.makes(author, "result", result(said, **body), over=over)

    def corrects(self, author, over):
        return self.makes(author, "corrective_action", correction(), over=over)

    def settles(self, author, over, said="pass", **body):
        return self.makes(author, "settlement", result(said, **body) | {"statement": "This stands."}, over=over)

    def countersigns(self, author, covers, item="bolt"):
        body = {"covers": [old["id"] for old in covers], "statement": "I agree."}
        return self.makes(author, "countersignature", body, item=item)

    def sends_back(self, author, over, item="bolt"):
        return self.makes(author, "rejection", {"reason": "Paint over the crack.", "photos": []}, item=item, over=over)

    def releases(self, author, covers, kind="release", over=()):
        body = approval(covers) if kind == "release" else approval(covers, DISCREPANCY)
        return self.makes(author, kind, body, item=None, over=over)
