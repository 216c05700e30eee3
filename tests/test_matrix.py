"""Who may sign what, on whose work, in which state: kind of entry x actor x whose work x state, over HTTP.

The table is stated here anew. The server takes in what its author was entitled to sign, whatever the item's state: a
phone that was offline could not know it, and the fold judges it. So no state may change a verdict, but for own work.
By default the states in which the work to judge differs; behind the marker `faults` those that end like one of these.
"""

import shutil

import pytest

from cast import PASSWORD, REGISTRATION, TEMPLATE, TIMES, TOOLS, Browser
from witnessmark import create_app
from witnessmark.config import read_settings
from witnessmark.demo_phone import failing, passing
from witnessmark.records import people
from witnessmark.records.database import db, writing

MECHANIC, INSPECTOR = {"mechanic", "inspector"}, {"inspector"}
TABLE = {"result": MECHANIC, "corrective_action": MECHANIC, "settlement": INSPECTOR, "countersignature": INSPECTOR,
         "rejection": INSPECTOR, "release": INSPECTOR, "disapproval": INSPECTOR, "admission": INSPECTOR}
NEED_THE_CODE = {"settlement", "countersignature", "rejection", "release", "disapproval", "admission"}
ACTORS = {"maria": "mechanic", "ines": "inspector", "noor": "author", "rowan": "reader", "kim": "nothing any more"}
STATES = ("untouched", "passed", "failed", "corrected", "sent back", "disputed", "countersigned", "released")
BY_DEFAULT = ("untouched", "passed", "corrected", "sent back")
# Where the standing entry, or the correction behind it, is the worker's own.
OF_THE_WORKER = set(STATES) - {"untouched", "sent back"}
ITEMS = {item["item"]: item for zone in TEMPLATE["zones"] for item in zone["items"]}
NOBODYS = "a" * 64


class Shop:
    """The shop with its actors, each on a phone of their own, and helpers on another."""

    def __init__(self, app):
        with app.app_context(), writing() as session:
            for login, role in (("ivo", "inspector"), ("kim", "inspector"), ("ben", "mechanic")):
                people.add_person(session, {
                    "login": login, "name": login.title(), "roles": [role], "password": PASSWORD,
                    "certificate": {"kind": role, "number": f"X-{login}"}})
        self.browsers = {login: Browser(app).sign_in(login) for login in [*ACTORS, "ben", "ivo", "tom"]}
        self.noor = self.browsers["noor"]
        for person in (browser.person for browser in self.browsers.values()):
            for name in (f"Former {person['name']}", person["name"]):
                facts = {"name": name, "certificate": person["certificate"], "authorities": person["authorities"]}
                assert self.put(f"/api/people/{person['person']}", facts).status_code == 200
        kim = self.browsers["kim"].person
        past = {"name": kim["name"], "certificate": kim["certificate"],
                "authorities": [{"role": "inspector", "from": None, "until": "2001-01-01"}]}
        assert self.put(f"/api/people/{kim['person']}", past).status_code == 200
        self.revision = self.noor.ask("GET", "/api/templates").json["templates"][0]["revision"]

    def put(self, path, body):
        return self.noor.ask("PUT", path, body, **{"Content-Type": "application/json"})

    def issue(self):
        wanted = {"revision": self.revision, "registration": REGISTRATION, "times": TIMES}
        return Work(self, self.noor.ask("POST", "/api/cards", wanted).json)


class Work:
    """One card on which its item "grip" is brought into a state."""

    def __init__(self, shop, card):
        self.shop, self.card, self.made, self.heads = shop, card, [], []

    def by(self, login, kind, body, item="grip", over=(), **changes):
        browser = self.shop.browsers[login]
        return browser.phone.make(browser.person, self.card, kind, item, body, over, **changes)

    def does(self, login, kind, body, item="grip", heads=None, over=None):
        """An entry that arrives and becomes the only head of its item."""
        entry = self.by(login, kind, body, item, self.heads if over is None else over)
        assert self.shop.browsers[login].send(entry) == [("kept", None)]
        self.made.append(entry)
        self.heads = heads or [entry["id"]]
        return entry

    def bring_to(self, state, worker):
        if state in ("failed", "corrected"):
            self.does(worker, "result", failing("A crack.", "At the root."))
        if state == "corrected":
            self.does(worker, "corrective_action", {"action": "Replaced.", "readings": {}, "note": "", "photos": []})
        if state in ("passed", "sent back", "disputed", "countersigned", "released"):
            self.does(worker, "result", passing(ITEMS["grip"], TOOLS, None))
        if state == "disputed":
            self.does("ben", "result", failing("A crack.", "At the root."), over=(),
                      heads=self.heads + [NOBODYS])
            self.heads = sorted([self.made[0]["id"], self.made[1]["id"]])
        if state == "sent back":
            self.does("ivo", "rejection", {"reason": "Look again.", "photos": []})
        if state in ("countersigned", "released"):
            self.countersign(self.shop.browsers["ivo"])
        if state == "released":
            self.release(worker)
        return self

    def countersign(self, inspector):
        entry = inspector.phone.countersign(inspector.person, self.card, "grip", self.heads)
        assert inspector.send(entry) == [("kept", None)]
        self.made.append(entry)

    def release(self, worker):
        heads = self.heads
        for item in ("surface", "bolts", "boom"):
            self.does(worker, "result", passing(ITEMS[item], TOOLS, None), item, over=())
        ivo = self.shop.browsers["ivo"]
        released = ivo.phone.release(ivo.person, self.card, TEMPLATE, self.made)
        assert ivo.send(released) == [("kept", None)]
        assert ivo.page(self.card)["state"]["status"] == "released"
        self.made.append(released)
        self.heads = heads

    def refused(self, worker):
        """The id of a refused entry of the worker that an inspector may take in."""
        person = self.shop.browsers[worker].person
        entry = self.by(worker, "result", passing(ITEMS["surface"], TOOLS, None), "surface",
                        author={"person": person["person"], "name": f"Former {person['name']}",
                                "certificate": person["certificate"]})
        assert self.shop.browsers[worker].send(entry) == [("refused", "author_differs")]
        return entry["id"]

    def signed(self, actor, kind, admits=NOBODYS, **changes):
        """The entry of this kind by the actor, as their phone would make it here."""
        browser, heads = self.shop.browsers[actor], self.heads or [NOBODYS]
        phone, said = browser.phone, passing(ITEMS["grip"], TOOLS, None)
        covers = {"covers": sorted(heads), "statement": phone._statement("countersignature", None, self.card, {})}
        found = [{"item": "grip", "what": "A crack.", "where": "At the root."}]
        body = {
            "result": said,
            "settlement": said | {"statement": phone._statement("settlement", None, self.card, {})},
            "corrective_action": {"action": "Replaced.", "readings": {}, "note": "", "photos": []},
            "countersignature": covers,
            "rejection": {"reason": "Look again.", "photos": []},
            "release": phone.approval("release", self.card, TEMPLATE, self.made),
            "disapproval": phone.approval("disapproval", self.card, TEMPLATE, self.made, found),
            "admission": {"entry": admits, "reason": "She did the work.",
                          "statement": phone._statement("admission", None, self.card, {})}}[kind]
        item = "grip" if kind not in ("release", "disapproval", "admission") else None
        over = heads if item and kind != "countersignature" else []
        return phone.make(browser.person, self.card, kind, item, body, over, **changes)


@pytest.fixture(scope="module")
def shop(filled, tmp_path_factory):
    """One shop for all tests: each works on cards of its own."""
    folder = shutil.copytree(filled[0], tmp_path_factory.mktemp("matrix") / "data")
    app = create_app(read_settings({"data": folder}, {}))
    # Dozens of releases: their papers are another test's business.
    app.extensions["witnessmark_office"].kick = lambda: None
    yield Shop(app)
    app.extensions["witnessmark_office"].close()
    with app.app_context():
        db.engine.dispose()


def expected(actor, kind, state, own):
    role = ACTORS[actor]
    if role in ("author", "reader"):
        return "refused", "key_unknown"
    if role not in TABLE[kind]:
        return "refused", "not_allowed"
    if own and (kind == "admission" or (kind == "countersignature" and state in OF_THE_WORKER)):
        return "refused", "own_work"
    return "kept", None


@pytest.mark.parametrize("state", [
    *BY_DEFAULT, *(pytest.param(state, marks=pytest.mark.faults) for state in STATES if state not in BY_DEFAULT)])
def test_what_is_accepted_is_what_the_table_says(shop, state):
    verdicts = {}
    for kind in TABLE:
        for actor in ACTORS:
            works = ACTORS[actor] in MECHANIC
            for own in ((True, False) if works else (False,)):
                worker = actor if own else "tom"
                work = shop.issue().bring_to(state, worker)
                admits = work.refused(worker) if kind == "admission" else NOBODYS
                (verdict,) = shop.browsers[actor].send(work.signed(actor, kind, admits))
                verdicts[kind, actor, own] = verdict
    assert verdicts == {case: expected(case[1], case[0], state, case[2]) for case in verdicts}
    assert len(verdicts) == len(TABLE) * 7


@pytest.mark.parametrize("kind", TABLE)
def test_no_key_signs_for_another_person(shop, kind):
    """Maria's phone makes an entry in the inspector's name and signs it with Maria's own key, and the other way."""
    for thief, victim in (("maria", "ines"), ("ines", "maria"), ("noor", "ines")):
        work = shop.issue().bring_to("passed", "tom")
        browser, forged = shop.browsers[thief], shop.browsers[victim]
        key = browser.phone.key_of(browser.person["person"])
        own, kept = browser.person, dict(browser.phone.keys)
        browser.person, browser.phone.keys = forged.person, {forged.person["person"]: key}
        entry = work.signed(thief, kind)
        browser.person, browser.phone.keys = own, kept
        wanted = "key_unknown" if thief == "noor" else "key_of_other"
        assert browser.send(entry) == [("refused", wanted)], (thief, victim)


@pytest.mark.parametrize("kind", TABLE)
def test_what_needs_the_code_for_it_alone_is_refused_without(shop, kind):
    work = shop.issue().bring_to("passed", "tom")
    admits = work.refused("tom") if kind == "admission" else NOBODYS
    again = {"by": "code", "at": "2026-11-25T08:00:00Z", "use": 2}
    verdict = ("refused", "code_not_fresh") if kind in NEED_THE_CODE else ("kept", None)
    assert shop.browsers["ines"].send(work.signed("ines", kind, admits, unlocked=again)) == [verdict]


@pytest.mark.parametrize("kind", sorted(NEED_THE_CODE - {"rejection"}))
def test_no_other_sentence_is_signed_than_that_of_the_cards_local_code(shop, kind):
    work = shop.issue().bring_to("passed", "tom")
    admits = work.refused("tom") if kind == "admission" else NOBODYS
    entry = work.signed("ines", kind, admits)
    body = entry["payload"]["body"] | {"statement": entry["payload"]["body"]["statement"] + " "}
    ines = shop.browsers["ines"]
    payload = entry["payload"]
    changed = ines.phone.make(ines.person, work.card, kind, payload["item"], body, payload["supersedes"])
    assert ines.send(changed) == [("refused", "statement_differs")]


def test_entries_come_in_by_sync_alone(app):
    """No other route takes a text that could be an entry; what describes the API is asked, not the code."""
    told = Browser(app).ask("GET", "/api/openapi.json").json
    schemas = told["components"]["schemas"]
    taking = set()
    for path, operations in told["paths"].items():
        for operation in operations.values():
            for content in (operation.get("requestBody", {}) if isinstance(operation, dict) else {}).get(
                    "content", {}).values():
                name = content["schema"].get("$ref", "").rpartition("/")[2]
                if "entries" in schemas.get(name, {}).get("properties", {}):
                    taking.add(path)
    assert taking == {"/api/sync"}
