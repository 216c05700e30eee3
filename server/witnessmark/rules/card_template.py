"""Card templates: YAML text -> the one JSON shape that phone, fold and paper read. Server only.

card: format "1", card, title, scope, record, inspection, whole, applies_to, cautions, references, zones
zone: zone, title, items
item: item, title, cautions, do, look_for, why, photo {rule, of}, countersign {needed, reason, controls},
      not_applicable, fields
field: field, kind, title, unit, stations, limits {min, max}, source, tool, options, acceptable, required, and the
       members of `template_measuring` that are given

Only when given: the card's belongs_to and an item's covers and system (`template_item`), the card's overruled.

record: "inspection" (when absent; `inspection` names it, and `whole: "yes"` says that the card signs off all of it,
not a part) or "maintenance" (neither key). controls: the step disturbs engine or flight controls, so that two
countersign it where the local code wants that.

Every other key is present in the result, absent ones as null or []; yes and no become true and false; all else stays
text.
A revision is named by the SHA-256 of its canonical JSON and never changes. A wrong file is refused with the place of
every fault (file, line, zone, item, field, key), the value found and what to write instead.
"""

from .canonical import canonical_text
from .entry import content_id
from .problems import Problem
from .template_field import read_field
from .template_item import read_belongs_to, read_item_keys
from .template_overruled import read_overruled
from .template_place import Place
from .template_text import WrongText, read_text

RECORDS = ("inspection", "maintenance")
PHOTO_RULES = ("none", "optional", "on_fail", "required")


def load_template(text, file_name):
    """The template in the YAML `text` of the file `file_name` (its last part only).

    Raises Problem `template_refused` with the fields trail, found, advice of the first fault and `faults`, the
    sentences of all.
    """
    faults = []
    try:
        template = _card(Place(read_text(text), [file_name], faults), file_name)
    except WrongText as wrong:
        trail = file_name if wrong.line is None else f"{file_name}, line {wrong.line}"
        faults.append({"trail": trail, "found": wrong.found, "advice": wrong.advice})
    if faults:
        sentences = [Problem("template_refused", **fault).sentence for fault in faults]
        raise Problem("template_refused", **faults[0], faults=sentences)
    return template


def revision_of(template):
    """The name of a template's revision: 64 hex digits."""
    return content_id(canonical_text(template))


def _card(place, file_name):
    members = place.members()
    if members is None:
        return None
    card = {
        "format": members.take("format", lambda at: at.one_of(("1",))),
        "card": members.take("card", lambda at: _card_name(at, file_name)),
        "title": members.take("title", lambda at: at.text(80)),
        "scope": members.take("scope", lambda at: at.text(400)),
        **_record(members),
        "applies_to": members.take("applies_to", lambda at: at.text(200)),
        "cautions": members.take("cautions", lambda at: at.texts(400, 1)),
        "references": members.take("references", lambda at: at.texts(400), []),
        "zones": members.take("zones", _zones),
    }
    card |= read_belongs_to(members)
    card |= read_overruled(members, card["zones"])
    members.done()
    return card


def _record(members):
    record = members.take("record", lambda at: at.one_of(RECORDS), "inspection")
    maintenance = record == "maintenance"
    found = {"record": record,
             "inspection": members.take("inspection", lambda at: at.text(80), *([None] if maintenance else [])),
             "whole": members.take("whole", lambda at: at.yes_no(), False)}
    for key in ("inspection", "whole"):
        if maintenance and members.has(key):
            members.fault(f"a card of maintenance signs off no inspection, but the key {key} stands there.",
                          "the card without it, or `record: inspection`")
    return found


def _card_name(place, file_name):
    name = place.identifier()
    if name is not None and file_name != f"{name}.yaml":
        return place.fault(f"the card is called \"{name}\" but the file is called {file_name}.",
                           f"the same name in both, for example {name}.yaml")
    return name


def _zones(place):
    zone_names, item_names = {}, {}
    return [_zone(at, zone_names, item_names) for at in place.places(1, 20)]


def _zone(place, zone_names, item_names):
    members = place.members("zone")
    if members is None:
        return None
    zone = {"zone": members.take("zone", lambda at: at.identifier(zone_names)),
            "title": members.take("title", lambda at: at.text(80)),
            "items": members.take("items", lambda at: [_item(one, item_names) for one in at.places(1, 40)])}
    members.done()
    return zone


def _item(place, item_names):
    members = place.members("item")
    if members is None:
        return None
    item = {
        "item": members.take("item", lambda at: at.identifier(item_names)),
        "title": members.take("title", lambda at: at.text(80)),
        "cautions": members.take("cautions", lambda at: at.texts(400), []),
        "do": members.take("do", lambda at: at.text(400)),
        "look_for": members.take("look_for", lambda at: at.texts(400, 1)),
        "why": members.take("why", lambda at: at.text(400)),
        "photo": members.take("photo", _photo, {"rule": "none", "of": None}),
        "countersign": members.take("countersign", _countersign, {"needed": False, "reason": None, "controls": False}),
        "not_applicable": members.take("not_applicable", lambda at: at.yes_no(), True),
        "fields": members.take("fields", _fields, []),
        **read_item_keys(members),
    }
    members.done()
    return item


def _photo(place):
    members = place.members()
    if members is None:
        return None
    photo = {"rule": members.take("rule", lambda at: at.one_of(PHOTO_RULES)),
             "of": members.take("of", lambda at: at.text(200), None)}
    members.done()
    if photo["rule"] not in (None, "none") and not members.has("of"):
        place.fault("it does not say what to photograph.", "`of: ` and what the picture must show")
    return photo


def _countersign(place):
    members = place.members()
    if members is None:
        return None
    countersign = {"needed": members.take("needed", lambda at: at.yes_no()),
                   "reason": members.take("reason", lambda at: at.text(400), None),
                   "controls": members.take("controls", lambda at: at.yes_no(), False)}
    members.done()
    if countersign["controls"] and countersign["needed"] is False:
        place.fault("a step that disturbs the controls is countersigned by nobody.", "`needed: \"yes\"` and its reason")
    if countersign["needed"] and not members.has("reason"):
        place.fault("it does not say why a second person is needed.", "`reason: ` and what happens if it is wrong")
    return countersign


def _fields(place):
    names = {}
    return [read_field(at, names) for at in place.places(1, 12)]
