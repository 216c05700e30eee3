"""The demo's past: cards that invented people walked and released, and an entry that was refused."""

import hashlib
import json
from decimal import Decimal
from io import BytesIO

from PIL import Image, ImageDraw

from .demo_phone import Phone, failing, passing
from .demo_readings import reading_of
from .records import cards, entries, keys, local_codes, photos, shop, templates
from .records import people as staff
from .records.clock import unix_now, utc_text
from .records.database import writing

DAY_S, MINUTE_S = 24 * 3600, 60
RELEASED_DAYS_AGO = 2
WRITTEN = "The demo's history is written."


def released(told, ids, revisions, times, used):
    """Issue, walk, countersign and release the card that `told` names, by the rules that a phone follows.

    `ids` is {login: person id}, `revisions` {card: revision}, `times` {registration: times}, `used` {kind: tool}.
    """
    clock = Clock(unix_now() - RELEASED_DAYS_AGO * DAY_S)
    card = cards.issue(revisions[told["card"]], told["registration"], times[told["registration"]], ids["noor"], clock())
    template = templates.template(card["revision"])
    mechanic, inspector = (staff.person_facts(ids[told[who]]) for who in ("mechanic", "inspector"))
    phone = _phone(clock, mechanic, inspector)
    made = _walk(phone, mechanic, card, template, told["failed"], used)
    made += _signed_off(phone, inspector, card, template, made)
    _send(phone, mechanic, made)
    _put_away(phone, WRITTEN)


def worn(told, ids, revisions, times, used):
    """The past cards of the readings that creep, as far apart as `told` says; the arguments as for `released`."""
    mechanic, inspector = (staff.person_facts(ids[told[who]]) for who in ("mechanic", "inspector"))
    meter = times[told["registration"]]["airframe"]
    count = len(next(iter(told["readings"].values())))
    clock = Clock(0)
    phone, made = _phone(clock, mechanic, inspector), []
    template = templates.template(revisions[told["card"]])
    for number in range(count):
        clock.seconds = unix_now() - (count - number) * told["days_apart"] * DAY_S
        hours = str(Decimal(meter["value"]) - (count - number) * Decimal(told["hours_apart"]))
        card = cards.issue(revisions[told["card"]], told["registration"], {"airframe": {**meter, "value": hours}},
                           ids["noor"], clock())
        walked = [phone.make(mechanic, card, "result", item["item"], _read_before(told, number, hours, item, used))
                  for item in _items(template)]
        made += walked + _signed_off(phone, inspector, card, template, walked)
    _send(phone, mechanic, made)
    _put_away(phone, WRITTEN)


def refused(told, ids, issued):
    """An entry from a phone whose key was ended before it arrived: an inspector decides."""
    mechanic, card = staff.person_facts(ids[told["mechanic"]]), issued[told["card"]]
    phone = _phone(utc_text, mechanic)
    entry = phone.make(mechanic, card, "result", told["item"], failing(told["what"], told["where"]))
    _put_away(phone, told["why"])
    _send(phone, mechanic, [entry])


class Clock:
    """A minute passes each time somebody looks."""

    def __init__(self, seconds):
        self.seconds = seconds

    def __call__(self):
        self.seconds += MINUTE_S
        return utc_text(self.seconds)


def _phone(now, *people_on_it):
    """A phone on which these people have set up signing."""
    here = shop.shop()
    phone = Phone(here["server"], now, code=json.loads(local_codes.code_text(here["local_code"])))
    with writing() as session:
        for person in people_on_it:
            wanted = phone.enrolment(person["person"])
            keys.enrol(session, person["person"], phone.device, wanted["jwk"], wanted["guard"], wanted["label"])
    return phone


def _put_away(phone, why):
    with writing() as session:
        for key in phone.keys.values():
            keys.end(session, key.kid, why, None)


def _send(phone, person, made):
    with writing() as session:
        entries.receive(session, [entry["text"] for entry in made], person["person"], phone.device)


def _walk(phone, mechanic, card, template, told, used):
    """Every item passes, one of them only after it failed, was put right and was looked at again."""
    made = []
    for item in _items(template):
        body, replaced = passing(item, used, _photo), []
        if item["item"] == told["item"]:
            failed = phone.make(mechanic, card, "result", item["item"], failing(told["what"], told["where"]))
            corrected = phone.make(mechanic, card, "corrective_action", item["item"], {
                "action": told["action"], "readings": {}, "note": "", "photos": []}, [failed["id"]])
            made += [failed, corrected]
            body, replaced = {**body, "note": told["note"]}, [corrected["id"]]
        made.append(phone.make(mechanic, card, "result", item["item"], body, replaced))
    return made


def _read_before(told, number, hours, item, used):
    """The body of a past result with the readings that `told` holds for card `number`, taken at `hours`."""
    readings = {}
    for field in item["fields"]:
        name, inputs = field["field"], {}
        if field["kind"] == "rate":
            inputs = {"hours_then": str(Decimal(hours) - Decimal(told["hours_apart"])), "hours_now": hours}
        if told["new_part"].get(name) == number:
            inputs |= {"new_part": "yes"}
        readings[name] = reading_of(field, told["readings"][name][number], inputs, used)
    return {"result": "pass", "readings": readings, "note": "", "photos": [], "discrepancy": None}


def _signed_off(phone, inspector, card, template, made):
    """The countersignatures that `made` needs, and the release of the card."""
    needed = {item["item"] for item in _items(template) if item["countersign"]["needed"]}
    superseded = {old for entry in made for old in entry["payload"]["supersedes"]}
    looked_again = [phone.countersign(inspector, card, entry["payload"]["item"], [entry["id"]]) for entry in made
                    if entry["payload"]["item"] in needed and entry["id"] not in superseded]
    return [*looked_again, phone.release(inspector, card, template, made + looked_again)]


def _items(template):
    return [item for zone in template["zones"] for item in zone["items"]]


def _photo(item):
    """A drawn stand-in for a photo, kept as a phone's would be: {"sha256", "bytes", "type", "caption"}."""
    picture = Image.new("RGB", (800, 600), "#c9c3b4")
    draw = ImageDraw.Draw(picture)
    draw.regular_polygon((400, 300, 180), 6, fill="#8d9299", outline="#3c4045", width=6)
    draw.line((400, 300, 700, 300), fill="#d5521b", width=26)
    draw.text((20, 20), f"Drawn for the demo: {item['item']}", fill="#222222", font_size=28)
    out = BytesIO()
    picture.save(out, "JPEG", quality=80)
    data = out.getvalue()
    sha256 = hashlib.sha256(data).hexdigest()
    photos.take_part(sha256, 0, len(data), data)
    return {"sha256": sha256, "bytes": len(data), "type": "image/jpeg", "caption": "Drawn for the demo"}
