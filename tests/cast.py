"""The cast: an invented shop's people, and browsers on phones that work by the real rules."""

import hashlib
import json
import secrets
from io import BytesIO

from PIL import Image

from witnessmark.demo_phone import Phone, passing
from witnessmark.records import cards, local_codes, people, shop, templates
from witnessmark.records.database import writing
from witnessmark.records.sessions import phone_of

CODE_REVISION = local_codes.shipped_revision("us")
CODE = local_codes.shipped()[CODE_REVISION]
PASSWORD = "stripe across the nut"
TIMES = {"airframe": {"value": "1234.5", "unit": "h"}}
TOOLS = {"": {"serial": "TL-01", "calibrated_until": None},
         "torque wrench": {"serial": "TW-07", "calibrated_until": "2099-12-31"}}
REGISTRATION = "N0417W"
PEOPLE = {
    "maria": {"name": "Maria Vance", "roles": ["mechanic"], "certificate": {"kind": "mechanic", "number": "M-1"}},
    "tom": {"name": "Tom Adler", "roles": ["mechanic"], "certificate": {"kind": "mechanic", "number": "M-2"}},
    "ines": {"name": "Ines Calder", "roles": ["inspector"], "certificate": {"kind": "inspector", "number": "I-1"}},
    "noor": {"name": "Noor Whitlock", "roles": ["author"], "certificate": {"kind": "none", "number": ""}},
    "rowan": {"name": "Rowan Hale", "roles": ["reader"], "certificate": {"kind": "none", "number": ""}},
}
ROLES = {facts["roles"][0]: login for login, facts in reversed(PEOPLE.items())}


def item(name, countersign=False, photo="none", fields=(), controls=False):
    return {"item": name, "title": name.title(), "cautions": [], "do": "Look at it.", "look_for": ["Cracks."],
            "why": "It holds the blade.", "photo": {"rule": photo, "of": "the part" if photo != "none" else None},
            "countersign": {"needed": countersign, "reason": "loss of control" if countersign else None,
                            "controls": controls},
            "not_applicable": True, "fields": list(fields)}


def field(name, kind, **more):
    return {"field": name, "kind": kind, "title": name.title(), "unit": None, "stations": [], "limits": None,
            "source": None, "tool": None, "options": [], "acceptable": [], "required": True, **more}


TORQUE = field("bolt", "torque", unit="in-lbf", limits={"min": "90", "max": "110"}, source="invented for the tests",
               tool="torque wrench")
TEMPLATE = {
    "format": "1", "card": "trial", "title": "Trial card", "scope": "What the tests look at.",
    "inspection": "100-hour", "record": "inspection", "whole": True,
    "applies_to": "Invented two-place demo helicopter", "cautions": ["Rotor brake on."],
    "references": [],
    "zones": [{"zone": "hub", "title": "Hub",
               "items": [item("surface"), item("grip", countersign=True), item("bolts", fields=[TORQUE])]},
              {"zone": "tail", "title": "Tail", "items": [item("boom", photo="optional")]}]}


def fill(app):
    """The shop, its people and aircraft, the trial template and one card. Returns the card."""
    with app.app_context():
        shop.found("Test shop (invented)", demo=True)
        with writing() as session:
            cards.add_aircraft(session, {"registration": REGISTRATION, "serial_number": "0042", "model": "Invented"})
            local_codes.choose(session, CODE_REVISION)
            ids = {login: people.add_person(session, {"login": login, "password": PASSWORD, **facts})
                   for login, facts in PEOPLE.items()}
        return cards.issue(templates.load(TEMPLATE), REGISTRATION, TIMES, ids["noor"])


class Browser:
    """A browser on one phone: keeps its cookie, sends what our client sends, makes entries by the rules."""

    def __init__(self, app, server="0" * 32):
        self.client = app.test_client()
        self.key = secrets.token_hex(32)
        self.phone = Phone(server, lambda: "2026-11-25T08:00:00Z", phone_of(self.key), CODE)
        self.epoch, self.after, self.person = None, 0, None

    def ask(self, method, path, body=None, **headers):
        """The answer to a request as our client makes it."""
        told = {"X-Witnessmark": "1", "Origin": "http://localhost", "Sec-Fetch-Site": "same-origin", **headers}
        data = json.dumps(body).encode() if body is not None and not isinstance(body, bytes) else body
        told.setdefault("Content-Type", "application/octet-stream" if isinstance(body, bytes) and method == "PUT"
                        else "application/json")
        return self.client.open(path, method=method, data=data, headers=told)

    def sign_in(self, login, password=PASSWORD, enrols=True):
        """Sign in, and set up signing on this phone for whoever may sign; returns this browser."""
        answer = self.ask("POST", "/api/session",
                          {"login": login, "password": password, "device_key": self.key})
        assert answer.status_code == 201, answer.json
        self.person, self.phone.server = answer.json["person"], answer.json["server"]["server"]
        if enrols and {"mechanic", "inspector"} & set(self.person["roles"]):
            enrolled = self.ask("POST", "/api/keys", self.phone.enrolment(self.person["person"]))
            assert enrolled.status_code in (200, 201), enrolled.json
        return self

    def exchange(self, texts=(), check=(), **changed):
        """One sync; moves this phone's cursor. Returns the answer's JSON."""
        answer = self.ask("POST", "/api/sync", {"epoch": self.epoch, "after": self.after, "entries": list(texts),
                                                "check": list(check), "size": 0, **changed})
        assert answer.status_code == 200, answer.json
        self.epoch, self.after = answer.json["epoch"], answer.json["sequence"]
        return answer.json

    def send(self, *entries):
        """Send entries; returns [(verdict, problem code or None)]."""
        answers = self.exchange([entry["text"] for entry in entries])["answers"]
        return [(answer["verdict"], answer["problem"] and answer["problem"]["code"]) for answer in answers]

    def passes(self, card, name, supersedes=(), **body):
        """An entry that passes the item `name` of the trial card."""
        items = {item["item"]: item for zone in TEMPLATE["zones"] for item in zone["items"]}
        said = {**passing(items[name], TOOLS, None), **body}
        return self.phone.make(self.person, card, "result", name, said, supersedes)

    def page(self, card):
        """The card as the server shows it."""
        return self.ask("GET", f"/api/cards/{card['card']}").json


def jpeg(width=320, height=240, colour="#c07020"):
    """A small real JPEG, and its SHA-256."""
    out = BytesIO()
    Image.new("RGB", (width, height), colour).save(out, "JPEG")
    return out.getvalue(), hashlib.sha256(out.getvalue()).hexdigest()


def photo(data, sha256):
    """The PHOTO of an entry."""
    return {"sha256": sha256, "bytes": len(data), "type": "image/jpeg", "caption": ""}
