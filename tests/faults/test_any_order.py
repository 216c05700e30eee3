"""Deliveries that come twice, late and in any order, from three phones: one state, the same for everybody.

Everything random comes from the seed that a failure names; try it alone with `--orders 1 --seed N`.
"""

import json
import random
from collections import Counter

import pytest

import cast
from cast import TEMPLATE
from witnessmark.demo_phone import failing, passing
from witnessmark.rules.card_state import fold
from witnessmark.rules.entry import content_id, set_digest
from witnessmark.rules.sign_off import statement

pytestmark = pytest.mark.faults
STEPS = 30
PEOPLE = ("maria", "tom", "ines")
ITEMS = {item["item"]: item for zone in TEMPLATE["zones"] for item in zone["items"]}


class Worker:
    """A person with a phone on one card's day: `held` is what the phone knows, `post` what may still be on its way."""

    def __init__(self, browser):
        self.browser, self.held, self.post, self.dawn = browser, {}, [], browser.after
        self.inspects = "inspector" in browser.person["roles"]

    def known(self, item):
        state = fold(TEMPLATE, [{"id": id, "payload": json.loads(text)} for id, text in self.held.items()])
        (found,) = [one for one in state["items"] if one["item"] == item]
        return found

    def work(self, card, item, rng):
        """One entry about an item as it stands on this phone, as the screens would offer it."""
        found = self.known(item)
        kind, body = self.chosen(found, ITEMS[item], rng)
        over = [] if kind == "countersignature" else found["heads"]
        entry = self.browser.phone.make(self.browser.person, card, kind, item, body, over)
        self.held[entry["id"]] = entry["text"]
        self.post.append(entry["text"])

    def chosen(self, found, item, rng):
        passed = passing(item, cast.TOOLS, None)
        if found["status"] == "disputed" and self.inspects:
            return "settlement", {**passed, "statement": statement("settlement", {})}
        if found["status"] == "failed":
            return "corrective_action", {"action": "Replaced it.", "readings": {}, "note": "", "photos": []}
        if found["status"] == "passed" and self.inspects:
            return "countersignature", {"covers": found["heads"], "statement": statement("countersignature", {})}
        return "result", failing("A crack.", "At the root.") if rng.random() < 0.3 else passed

    def deliver(self, rng):
        """Some of the post in any order, some of it twice; most of it stays in the post for another time."""
        sent = rng.choices(self.post, k=rng.randint(1, 5)) if self.post else []
        self.take(self.browser.exchange(sent, after=rng.randint(self.dawn, self.browser.after)))
        for text in sent:
            if text in self.post and rng.random() < 0.4:
                self.post.remove(text)

    def finish(self, rng):
        """All that was ever made here, shuffled, every one twice."""
        texts = [*self.held.values()] * 2
        rng.shuffle(texts)
        self.take(self.browser.exchange(texts))

    def take(self, answer):
        assert {one["verdict"] for one in answer["answers"]} <= {"kept", "already_here"}, answer["answers"]
        assert not answer["more"]
        texts = [news["text"] for news in answer["news"] if news["kind"] == "entry"]
        self.held.update((content_id(text), text) for text in texts)


def a_day(seed, phones, card):
    """One card worked on by three phones whose post goes astray. Returns its state, which all agree on."""
    rng = random.Random(seed)
    workers = [Worker(phone) for phone in phones]
    for _ in range(STEPS):
        worker = rng.choice(workers)
        if rng.random() < 0.6:
            worker.work(card, rng.choice(list(ITEMS)), rng)
        else:
            worker.deliver(rng)
    for worker in [*workers, *workers]:
        worker.finish(rng)
    held = [worker.held for worker in workers]
    pages = [worker.browser.page(card) for worker in workers]
    assert held[0] == held[1] == held[2] == {entry["id"]: entry["text"] for entry in pages[0]["entries"]}, seed
    assert len(pages[0]["entries"]) == len(held[0]), seed
    entries = [{"id": id, "payload": json.loads(text)} for id, text in held[0].items()]
    rng.shuffle(entries)
    expected = fold(TEMPLATE, entries)
    assert [page["state"] for page in pages] == [expected] * 3, seed
    assert fold(TEMPLATE, entries + entries[::2]) == expected, seed
    digests = workers[0].browser.exchange(check=[card["card"]])["digests"]
    assert digests[card["card"]] == set_digest(held[0]), seed
    return expected


def test_three_phones_agree_whatever_the_post_does(browser, amount, tell):
    seed, orders = amount("seed"), amount("orders")
    issuer, phones, seen, entries = browser("noor"), [browser(login) for login in PEOPLE], Counter(), 0
    (template,) = issuer.ask("GET", "/api/templates").json["templates"]
    for number in range(orders):
        card = issuer.ask("POST", "/api/cards", {"revision": template["revision"], "registration": cast.REGISTRATION,
                                                 "times": cast.TIMES}).json
        state = a_day(seed + number, phones, card)
        seen.update(item["status"] for item in state["items"])
        seen.update({"superseded": len(state["superseded"])})
        entries += state["entries"]
    tell(f"{orders} orders of delivery, {entries} entries of 3 phones: all agree; {dict(sorted(seen.items()))}"
         f" (seeds {seed} to {seed + orders - 1})")
    assert entries > 5 * orders
