"""The demo shop's people on a phone with a screen: passwords, the signing codes they take, and their hands at both.
And a colleague without a screen, whose signed entries arrive by HTTP."""

import hashlib
import json
import time

from playwright.sync_api import expect
from shop import Caller

from witnessmark.config import bundled
from witnessmark.demo_phone import Phone, passing

FACTS = {one["login"]: one for one in json.loads((bundled("demo_data") / "shop.json").read_text("utf-8"))["people"]}
CODES = {login: one["code"] for login, one in FACTS.items() if one["code"]}
TOOLS = {"": {"serial": "TL-01", "calibrated_until": None}}
NO_PICTURE = {"sha256": hashlib.sha256(b"no picture").hexdigest(), "bytes": 10, "type": "image/jpeg", "caption": ""}
SIGNERS = "async () => (await (await import('/device/keys.js')).enrolled()).map(({ name }) => name)"
LOCK = "async () => (await import('/device/keys.js')).lock()"


def type_password(page, login):
    page.fill("#login", login)
    page.fill("#password", FACTS[login]["password"])
    page.get_by_role("button", name="Sign in").click()


def set_up_signing(page, login):
    """On the page that asks for it: the code twice."""
    expect(page.get_by_role("heading", name="Set up signing on this phone")).to_be_visible()
    page.fill("#code", CODES[login])
    page.fill("#again", CODES[login])
    page.get_by_role("button", name="Set up signing").click()


def sign_in(page, login, first=True):
    """With the password, ending on the work cards. Who signs sets up signing, the `first` time on this phone."""
    type_password(page, login)
    if first and login in CODES:
        set_up_signing(page, login)
    expect(page.locator("card-list .marks").first).to_be_visible(timeout=60000)


def join(page, login):
    """One more person sets up signing on this phone."""
    page.evaluate("location.hash = '#/hand-over'")
    page.locator("hand-over details").evaluate("(details) => { details.open = true; }")
    sign_in(page, login)


def give_code(page, login):
    page.fill("#signing-code", CODES[login])
    page.locator("code-field button.sign").click()


def take_over(page, login):
    """The phone is handed over by one touch and the code; works without a network."""
    page.evaluate("location.hash = '#/hand-over'")
    page.locator("button.person", has_text=FACTS[login]["name"]).click()
    give_code(page, login)
    page.wait_for_url("**/#/")
    expect(page.locator(".signed-in")).to_contain_text(FACTS[login]["name"])


def have(page, login):
    """`login` has this phone: by the password and a new key the first time, by the code from then on."""
    here = page.evaluate(SIGNERS)
    if FACTS[login]["name"] in here:
        take_over(page, login)
    elif here:
        join(page, login)
    else:
        sign_in(page, login)


class Colleague:
    """Somebody on another phone. `server` facts and the local code come from the shop."""

    def __init__(self, shop, login, key):
        self.caller = Caller(shop, login, FACTS[login]["password"], key)
        told = self.caller.json("/api/session")
        chosen = self.caller.json("/api/local-codes")["chosen"]
        device = hashlib.sha256(key.encode()).hexdigest()[:32]
        now = lambda: time.strftime("%Y-%m-%dT%H:%M:%SZ", time.gmtime())  # noqa: E731
        self.phone = Phone(told["server"]["server"], now, device, self.caller.json(f"/api/local-codes/{chosen}"))
        self.person = told["person"]
        self.caller.json("/api/keys", self.phone.enrolment(self.person["person"]))

    def send(self, entries):
        """Deliver signed entries; every one must be kept."""
        told = self.caller.json("/api/sync", {"epoch": None, "after": 0, "size": 0, "check": [],
                                              "entries": [entry["text"] for entry in entries]})
        refused = [answer for answer in told["answers"] if answer["status"] != 201]
        assert refused == [], refused
        return entries

    def send_photo(self, data):
        """The server keeps a photo; returns what an entry says of it."""
        name = hashlib.sha256(data).hexdigest()
        self.caller.put(f"/api/photos/{name}?offset=0&bytes={len(data)}", data)
        return {"sha256": name, "bytes": len(data), "type": "image/jpeg", "caption": "Play here"}

    def result(self, card, item, supersedes=(), **changed):
        """A result of `item` (of the template), not sent yet: it passes, unless `changed`."""
        body = {**passing(item, TOOLS, lambda _: NO_PICTURE), **changed}
        return self.phone.make(self.person, card, "result", item["item"], body, supersedes)

    def walk(self, card, items):
        """Pass every item of the card; returns the entries by item id."""
        made = {item["item"]: self.result(card, item) for item in items}
        self.send(made.values())
        return made

    def countersign(self, card, items, made):
        """Countersign what needs it; returns the entries."""
        wanted = [item["item"] for item in items if item["countersign"]["needed"]]
        return self.send([self.phone.countersign(self.person, card, name, [made[name]["id"]]) for name in wanted])


def items_of(template):
    return [item for zone in template["zones"] for item in zone["items"]]
