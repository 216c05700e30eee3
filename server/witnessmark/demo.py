"""The demo: an invented shop with its people, tools and cards; one card walked and released, one entry refused."""

import hashlib
import itertools
import json
from io import BytesIO

from PIL import Image, ImageDraw

from .config import bundled
from .demo_phone import Phone, failing, passing
from .records import cards, entries, keys, local_codes, photos, shop, template_files, templates, tools
from .records import people as staff
from .records.clock import unix_now, utc_text
from .records.database import writing

FACTS = json.loads((bundled("demo_data") / "shop.json").read_text(encoding="utf-8"))
SHOP = FACTS["shop"]
WALKED_BEFORE_S = 2 * 24 * 3600
DAY_S = 24 * 3600


def people():
    """The invented people: [{"name", "roles", "login", "password", "code": a signing code, or None}]."""
    return [{name: one[name] for name in ("name", "roles", "login", "password", "code")} for one in FACTS["people"]]


def fill(app):
    """Fill the database of `app` with the demo, once. Returns whether it was new."""
    with app.app_context():
        if not shop.found(SHOP, demo=True):
            return False
        ids = _people_and_things()
        revisions = {}
        for path in sorted(bundled("checklists").glob("*.yaml")):
            template = template_files.read(path)
            revisions[template["card"]] = templates.load(template)
        _released(ids, revisions)
        first = FACTS["aircraft"][0]["registration"]
        issued = {card: cards.issue(revision, first, FACTS["times"][first], ids["noor"])
                  for card, revision in revisions.items()}
        _refused(ids, issued)
    return True


def _people_and_things():
    with writing() as session:
        local_codes.choose(session, local_codes.shipped_revision(FACTS["local_code"]))
        for aircraft in FACTS["aircraft"]:
            cards.add_aircraft(session, aircraft)
        for tool in FACTS["tools"]:
            tools.keep(session, {"name": tool["name"], "facts": tool["facts"], **_calibrated(tool)})
        return {one["login"]: staff.add_person(session, one) for one in FACTS["people"]}


def _calibrated(tool):
    days = tool["calibrated_days"]
    until = None if days is None else utc_text(unix_now() + days * DAY_S)[:10]
    return {"serial": tool["serial"], "calibrated_until": until}


def _released(ids, revisions):
    """Issue, walk, countersign and release one card, by the rules that a phone follows."""
    wanted = FACTS["released"]
    registration = wanted["registration"]
    start, minutes = unix_now() - WALKED_BEFORE_S, itertools.count(1)
    card = cards.issue(revisions[wanted["card"]], registration, FACTS["times"][registration], ids["noor"],
                       utc_text(start))
    template = templates.template(card["revision"])
    mechanic, inspector = (staff.person_facts(ids[wanted[who]]) for who in ("mechanic", "inspector"))
    phone = _phone(lambda: utc_text(start + 60 * next(minutes)), mechanic, inspector)
    made = _walk(phone, mechanic, card, template)
    made += [phone.countersign(inspector, card, entry["payload"]["item"], [entry["id"]])
             for entry in _to_countersign(template, made)]
    made.append(phone.release(inspector, card, template, made))
    _send(phone, mechanic, made)
    _put_away(phone, "The demo's history is written.")


def _refused(ids, issued):
    """An entry from a phone whose key was ended before it arrived: an inspector decides."""
    told = FACTS["refused"]
    mechanic, card = staff.person_facts(ids[told["mechanic"]]), issued[told["card"]]
    phone = _phone(utc_text, mechanic)
    entry = phone.make(mechanic, card, "result", told["item"], failing(told["what"], told["where"]))
    _put_away(phone, told["why"])
    _send(phone, mechanic, [entry])


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


def _walk(phone, mechanic, card, template):
    """Every item passes, one of them only after it failed, was put right and was looked at again."""
    told, made = FACTS["released"]["failed"], []
    used = {tool["kind"]: _calibrated(tool) for tool in FACTS["tools"] if tool["kind"] is not None}
    for item in (item for zone in template["zones"] for item in zone["items"]):
        body, replaced = passing(item, used, _photo), []
        if item["item"] == told["item"]:
            failed = phone.make(mechanic, card, "result", item["item"], failing(told["what"], told["where"]))
            corrected = phone.make(mechanic, card, "corrective_action", item["item"], {
                "action": told["action"], "readings": {}, "note": "", "photos": []}, [failed["id"]])
            made += [failed, corrected]
            body, replaced = {**body, "note": told["note"]}, [corrected["id"]]
        made.append(phone.make(mechanic, card, "result", item["item"], body, replaced))
    return made


def _to_countersign(template, made):
    needed = {item["item"] for zone in template["zones"] for item in zone["items"] if item["countersign"]["needed"]}
    superseded = {old for entry in made for old in entry["payload"]["supersedes"]}
    return [entry for entry in made if entry["payload"]["item"] in needed and entry["id"] not in superseded]


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
