"""The demo: an invented shop with its people, tools and cards; some cards walked and released, one entry refused."""

import json

from . import demo_history
from .config import bundled
from .records import cards, local_codes, shop, template_files, templates, tools
from .records import people as staff
from .records.clock import unix_now, utc_text
from .records.database import writing

FACTS = json.loads((bundled("demo_data") / "shop.json").read_text(encoding="utf-8"))
SHOP = FACTS["shop"]
DAY_S = 24 * 3600


def people():
    """The invented people: [{"name", "roles", "login", "password", "code": a signing code, or None}]."""
    return [{name: one[name] for name in ("name", "roles", "login", "password", "code")} for one in FACTS["people"]]


def fill(app):
    """Fill the database of `app` with the demo, once. Returns whether it was new."""
    with app.app_context():
        if not shop.found(SHOP, demo=True):
            return False
        ids, times = _people_and_things(), FACTS["times"]
        revisions = {}
        for path in sorted(bundled("checklists").glob("*.yaml")):
            template = template_files.read(path)
            revisions[template["card"]] = templates.load(template)
        demo_history.worn(FACTS["worn"], ids, revisions, times, _tools_for(FACTS["worn"]))
        demo_history.released(FACTS["released"], ids, revisions, times, _tools_for(FACTS["released"]))
        first = FACTS["aircraft"][0]["registration"]
        issued = {card: cards.issue(revisions[card], first, times[first], ids["noor"]) for card in FACTS["issued"]}
        demo_history.refused(FACTS["refused"], ids, issued)
    return True


def _people_and_things():
    with writing() as session:
        local_codes.choose(session, local_codes.shipped_revision(FACTS["local_code"]))
        for aircraft in FACTS["aircraft"]:
            cards.add_aircraft(session, aircraft)
        for tool in FACTS["tools"]:
            tools.keep(session, {"name": tool["name"], "facts": tool["facts"], **_calibrated(tool)})
        return {one["login"]: staff.add_person(session, one) for one in FACTS["people"]}


def _tools_for(told):
    """{kind: {"serial", "calibrated_until"}}: the tool of each kind that people use, `told`["tools"] going before."""
    return {tool["kind"]: _calibrated(tool) for tool in FACTS["tools"] if tool["kind"] is not None} | {
        kind: _calibrated(tool) for kind, serial in told["tools"].items() for tool in FACTS["tools"]
        if tool["serial"] == serial}


def _calibrated(tool):
    days = tool["calibrated_days"]
    until = None if days is None else utc_text(unix_now() + days * DAY_S)[:10]
    return {"serial": tool["serial"], "calibrated_until": until}
