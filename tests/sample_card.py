"""An invented card, walked, corrected, countersigned and released: facts as `paper_html` takes them."""

import hashlib
import io
import json

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from PIL import Image, ImageDraw

from witnessmark.config import bundled
from witnessmark.demo_phone import Key
from witnessmark.rules.card_state import fold
from witnessmark.rules.entry import INSPECTIONS, entry_text, make_entry, read_entry
from witnessmark.rules.local_code import control_persons, record_of, slots_of, statement, statement_key
from witnessmark.rules.signature import ENTRY_TYP
from witnessmark.rules.signed_note import checkpoint_text, signature_line

SERVER, CARD, PHONE = "5e" * 16, "ca" * 16, "de" * 16
AIRCRAFT = {"registration": "N0417W", "serial_number": "0042"}
ORLA = {"person": "0a" * 16, "name": "Orla Quill",
        "certificate": {"kind": "Mechanic, airframe and powerplant", "number": "0417001"}}
TEO = {"person": "0b" * 16, "name": "Teo Marsh",
       "certificate": {"kind": "Inspection authorization", "number": "0417002"}}
KEYS = {ORLA["person"]: Key(), TEO["person"]: Key()}  # one key a person: all on one phone
CODE = json.loads((bundled("local_codes") / "us.json").read_text(encoding="utf-8"))
LOG_KEY = Ed25519PrivateKey.from_private_bytes(bytes(32))
LOG = {"size": 61, "root": hashlib.sha256(b"an invented log").hexdigest()}
TIMES = {"airframe": {"value": "1234.5", "unit": "h"}}
STATIONS = ["0°", "45°", "90°", "135°", "180°", "225°", "270°", "315°"]


def field(name, kind, title, **more):
    return {"field": name, "kind": kind, "title": title, "unit": None, "stations": [], "limits": None, "source": None,
            "tool": None, "options": [], "acceptable": None, "required": True} | more


def item(name, title, do, fields=(), countersign=None, rule="none", controls=False):
    return {"item": name, "title": title, "cautions": [], "do": do, "look_for": ["no cracks, no corrosion"],
            "why": "A crack here ends in loss of control.", "photo": {"rule": rule, "of": None},
            "countersign": {"needed": bool(countersign), "reason": countersign, "controls": controls},
            "not_applicable": True, "fields": list(fields)}


RUN_OUT = field("run_out", "run_out", "Run-out at mid span", unit="in", stations=STATIONS, tool="dial indicator",
                limits={"min": None, "max": "0.005"}, source="invented for the demo")
TORQUE = field("nut_torque", "torque", "Mast nut torque", unit="in-lbf", limits={"min": "240", "max": "280"},
               source="invented for the demo", tool="torque wrench")
WEAR = field("wear", "measure", "Spline wear", unit="in", limits={"min": None, "max": "0.010"},
             source="invented for the demo")
COLOUR = field("colour", "choice", "Colour of the grease", options=["clean", "grey", "metallic"],
               acceptable=["clean", "grey"])

ZONES = [
    ("tube", "Mast tube", [
        item("tube_surface", "Mast tube surface", "Wipe the tube clean and look along it under a raking light.",
             rule="required"),
        item("tube_run_out", "Mast run-out", "Turn the mast slowly and read the dial at eight stations.", [RUN_OUT],
             "a bent mast destroys the rotor"),
        item("tube_bearing", "Upper bearing play", "Rock the mast by hand and feel for play.", [COLOUR]),
        item("tube_seal", "Bearing seal", "Look at the lip of the seal for a run of grease."),
        item("tube_cap", "Mast cap and lanyard", "Lift the cap and look at its lanyard.")]),
    ("splines", "Splines and nut", [
        item("spline_wear", "Spline wear", "Measure the width of the worst spline.", [WEAR],
             "worn splines slip under load"),
        item("nut_torque", "Mast nut torque", "Check the nut in the tightening direction.", [TORQUE],
             "a loose nut releases the hub"),
        item("nut_lock", "Locking plate", "Look at the tabs of the locking plate."),
        item("spline_grease", "Spline grease", "Wipe off a sample and rub it between the fingers."),
        item("witness", "Torque stripe", "Look whether the stripe across the nut is unbroken.")]),
    ("hub", "Hub and stabilizer bar", [
        item("hub_bolts", "Teetering bolts", "Look at both bolts and their safety wire.", (), "loss of the rotor"),
        item("hub_stops", "Teetering stops", "Press each stop with a thumb and look for cracks in the rubber."),
        item("bar_tube", "Stabilizer bar tube", "Sight along the bar from each end."),
        item("bar_weights", "Stabilizer bar weights", "Try to turn each weight by hand."),
        item("dampers", "Dampers", "Move the bar against each damper and feel for an even resistance.")]),
    ("swash", "Swash plate", [
        item("plate_play", "Swash plate play", "Rock the plate by hand at four places."),
        item("plate_bearing", "Swash plate bearing", "Turn the plate by hand and listen."),
        item("scissors", "Drive scissors", "Look at the scissors and their bolts.", (), "loss of cyclic control"),
        item("boots", "Rod end boots", "Look at each boot for tears."),
        item("rods", "Pitch rods", "Look at each rod for nicks and bends.")]),
]
TEMPLATE = {
    "format": "1", "card": "mast", "title": "Mast, hub and stabilizer bar",
    "scope": "The mast from the gearbox to the hub, with splines, nut, hub, stabilizer bar, dampers and swash plate.",
    "record": "inspection", "inspection": "100-hour", "whole": True, "applies_to": "Invented two-place demo helicopter",
    "cautions": ["Secure the blades before climbing."],
    "references": ["Invented maintenance manual, chapter 63, issue 4"],
    "zones": [{"zone": name, "title": title, "items": items} for name, title, items in ZONES],
}


def reading(*values, unit=None, tools=(), inputs=None, derived=None):
    used = [{"serial": serial, "calibrated_until": "2027-06-30"} for serial in tools]
    return {"values": list(values), "unit": unit, "tools": used, "inputs": inputs or {}, "derived": derived or {}}


def jpeg(shade, size=(1200, 900)):
    """A JPEG with some structure; `shade` makes each different."""
    image = Image.new("RGB", size, (90, 90 + shade, 80))
    draw = ImageDraw.Draw(image)
    for step in range(0, size[0], 40):
        draw.line([(step, 0), (size[0] - step, size[1])], fill=(200, 200 - shade, step % 255), width=6)
    out = io.BytesIO()
    image.save(out, "JPEG", quality=80)
    return out.getvalue()


def note_of(log):
    """The signed note of a checkpoint, and the log's public key in hex."""
    name, public = f"witnessmark/{SERVER}", LOG_KEY.public_key().public_bytes_raw().hex()
    body = checkpoint_text(name, log["size"], log["root"])
    return body + "\n" + signature_line(name, public, LOG_KEY.sign(body.encode()).hex()), public


class Walk:
    """Makes entries one after another on one phone, a minute apart, each signed with its author's key."""

    def __init__(self, template=None, code=None):
        self.template, self.code = template or TEMPLATE, code or CODE
        self.revision = hashlib.sha256(repr(self.template).encode()).hexdigest()
        self.entries, self.photos = [], {}

    @property
    def card(self):
        return {"card": CARD, "number": "WC-0001", "revision": self.revision, "title": self.template["title"],
                "code": hashlib.sha256(repr(self.code).encode()).hexdigest(), "aircraft": AIRCRAFT, "times": TIMES,
                "issued_at": "2026-11-25T07:30:00Z", "issued_by": ORLA["person"]}

    def record(self, kind, author, item, body, supersedes=()):
        number = len(self.entries) + 1
        now = f"2026-11-25T{8 + number // 60:02d}:{number % 60:02d}:07Z"
        payload = make_entry({
            "kind": kind, "server": SERVER, "card": CARD, "revision": self.revision, "aircraft": AIRCRAFT, "item": item,
            "supersedes": list(supersedes), "author": author, "device": PHONE, "sequence": number,
            "previous": self.entries[-1]["id"] if self.entries else None, "checkpoint": LOG, "claimed_at": now,
            "unlocked": {"by": "code", "at": now, "use": 1}, "body": body})
        key = KEYS[author["person"]]
        self.entries.append(read_entry(key.sign(ENTRY_TYP, entry_text(payload))))
        return self.entries[-1]["id"]

    def result(self, item, result="pass", readings=None, note="", photos=(), discrepancy=None, supersedes=(),
               author=ORLA):
        body = {"result": result, "readings": readings or {}, "note": note, "photos": list(photos),
                "discrepancy": discrepancy}
        return self.record("result", author, item, body, supersedes)

    def countersign(self, item, covers, author=TEO):
        return self.record("countersignature", author, item, {
            "covers": list(covers), "statement": self.told("countersignature", None, {})})

    def send_back(self, item, heads, reason, photos=(), author=TEO):
        return self.record("rejection", author, item, {"reason": reason, "photos": list(photos)}, heads)

    def admit(self, entry, reason, author=TEO):
        return self.record("admission", author, None, {
            "entry": entry, "reason": reason, "statement": self.told("admission", None, {})})

    def photo(self, shade, caption):
        data = jpeg(shade)
        sha256 = hashlib.sha256(data).hexdigest()
        self.photos[sha256] = data
        return {"sha256": sha256, "bytes": len(data), "type": "image/jpeg", "caption": caption}

    def state(self):
        return fold(self.template, self.entries, control_persons(self.code))

    def told(self, kind, record, body):
        return statement(self.code, statement_key(kind, record), slots_of(self.card, body))

    def approve(self, kind="release", author=TEO, listed=(), by=()):
        """Release or disapprove the card as it stands; `by` are the others who did the work of a maintenance card."""
        record = record_of(self.template)
        inspected = record in INSPECTIONS
        body = {"covers": self.state()["covers"], "record": record, "date": "2026-11-25",
                "inspection": {"type": self.template["inspection"], "extent": self.template["scope"]}
                if inspected else None,
                "work": None if inspected else {"description": self.template["scope"], "completed_on": "2026-11-25",
                                                "by": list(by)},
                "times": TIMES, "discrepancies": list(listed)}
        return self.record(kind, author, None, {**body, "statement": self.told(kind, record, body)})

    def facts(self, demo=True, shop="Lindqvist Rotor Works"):
        note, log_key = note_of(LOG)
        names = {ORLA["person"]: ORLA["name"], TEO["person"]: TEO["name"]}
        return {
            "shop": {"name": shop, "demo": demo}, "server": SERVER, "template": self.template, "state": self.state(),
            "card": self.card, "code": self.code, "people": {ORLA["person"]: ORLA["name"]},
            "keys": [{"kid": key.kid, "jwk": key.jwk, "person": person, "name": names[person]}
                     for person, key in KEYS.items()],
            "log": {"note": note, "key": log_key, **LOG},
            "entries": self.entries, "photos": self.photos}


READINGS = {
    "tube_run_out": {"run_out": reading("0.000", "0.001", "0.002", "0.0035", "0.003", "0.002", "0.001", "-0.0005",
                                        unit="in", tools=["DI-2207"], derived={"total": "0.0040"})},
    "tube_bearing": {"colour": reading("grey")},
    "spline_wear": {"wear": reading("0.0065", unit="in")},
    "nut_torque": {"nut_torque": reading("231.50", unit="in-lbf", tools=["TW-0815"], derived={"applied": "266.23"},
                                         inputs={"wrench_length": "10", "extension": "1.5"})},
}


def walked_card(photos=True):
    """Twenty items: one failed and corrected, one retyped, one not applicable, five countersigned; then released."""
    walk = Walk()
    names = [found["item"] for zone in TEMPLATE["zones"] for found in zone["items"]]
    standing = {}
    for name in names:
        if name not in ("boots", "bar_weights", "nut_lock", "tube_surface"):
            standing[name] = walk.result(name, readings=READINGS.get(name, {}))
    shots = [walk.photo(shade, caption) for shade, caption in ((10, "Tube, left side"), (90, ""))] if photos else []
    standing["tube_surface"] = walk.result("tube_surface", photos=shots,
                                           note="Light scuffing below the hub, polished out.\nNo depth felt.")
    failed = walk.result("nut_lock", "fail", photos=[walk.photo(150, "Cracked tab")] if photos else [],
                         discrepancy={"what": "One tab cracked through", "where": "locking plate, aft side"})
    fixed = walk.record("corrective_action", ORLA, "nut_lock", {
        "action": "Plate replaced with a new one, part number 417-22, tabs bent and stripe renewed.",
        "readings": {}, "note": "", "photos": []}, [failed])
    standing["nut_lock"] = walk.result("nut_lock", supersedes=[fixed], author=TEO)
    early = walk.result("boots", note="Looked at three only.")
    standing["boots"] = walk.result("boots", supersedes=[early], note="All four whole.")
    standing["bar_weights"] = walk.result("bar_weights", "not_applicable", note="This bar has fixed weights.")
    needing = [found["item"] for zone in TEMPLATE["zones"] for found in zone["items"] if found["countersign"]["needed"]]
    for name in needing:
        walk.countersign(name, [standing[name]])
    walk.approve()
    return walk
