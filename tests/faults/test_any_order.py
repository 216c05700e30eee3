"""Deliveries that come twice, late and in any order, from three phones: one state, the same for everybody.

Everything random comes from the seed that a failure names; try it alone with `--orders 1 --seed N`.
"""

import random
from collections import Counter

import pytest

import cast
from cast import TEMPLATE
from witnessmark.demo_phone import failing, passing
from witnessmark.rules.card_state import fold
from witnessmark.rules.entry import ITEM_KINDS, read_entry, set_digest
from witnessmark.rules.local_code import statement, statement_key
from witnessmark.rules.sign_off import countersign_refusals

pytestmark = pytest.mark.faults
STEPS = 45
PEOPLE = ("maria", "tom", "ines")
ITEMS = {item["item"]: item for zone in TEMPLATE["zones"] for item in zone["items"]}


class Worker:
    """A person with a phone on one card's day: `held` is what the phone knows, {id: entry}, `post` the texts that may
    still be on their way."""

    def __init__(self, browser):
        self.browser, self.held, self.post, self.dawn = browser, {}, [], browser.after
        self.inspects = "inspector" in browser.person["roles"]

    def known(self):
        return fold(TEMPLATE, list(self.held.values()), 1)

    def work(self, card, rng):
        """One entry about an item as it stands on this phone, as the screens would offer it."""
        state = self.known()
        done = [item for item in state["items"] if item["status"] in ("passed", "disputed")] if self.inspects else []
        found = rng.choice(done or state["items"])
        entry = self.inspected(card, state, found, rng) if self.inspects else None
        entry = entry or self.recorded(card, found, rng)
        self.held[entry["id"]] = entry
        self.post.append(entry["text"])

    def inspected(self, card, state, found, rng):
        """What only an inspector does, when there is such a thing to do."""
        phone, person, item, heads = self.browser.phone, self.browser.person, found["item"], found["heads"]
        if found["status"] == "disputed":
            said = {**passing(ITEMS[item], cast.TOOLS, None),
                    "statement": statement(cast.CODE, statement_key("settlement", None), {})}
            return phone.make(person, card, "settlement", item, said, heads)
        payloads = {id: entry["payload"] for id, entry in self.held.items()}
        if countersign_refusals(state, person["roles"], item, person["person"], payloads):
            return None
        if rng.random() < 0.4:
            return phone.send_back(person, card, item, heads, "Paint over the rivets.")
        return phone.countersign(person, card, item, heads)

    def recorded(self, card, found, rng):
        """What a mechanic does too."""
        phone, person, item, heads = self.browser.phone, self.browser.person, found["item"], found["heads"]
        if found["status"] == "failed" or (found["status"] == "rejected" and rng.random() < 0.5):
            said = {"action": "Replaced it.", "readings": {}, "note": "", "photos": []}
            return phone.make(person, card, "corrective_action", item, said, heads)
        said = failing("A crack.", "At the root.") if rng.random() < 0.3 else passing(ITEMS[item], cast.TOOLS, None)
        return phone.make(person, card, "result", item, said, heads)

    def deliver(self, rng):
        """Some of the post in any order, some of it twice; most of it stays in the post for another time."""
        sent = rng.choices(self.post, k=rng.randint(1, 5)) if self.post else []
        self.take(self.browser.exchange(sent, after=rng.randint(self.dawn, self.browser.after)))
        for text in sent:
            if text in self.post and rng.random() < 0.4:
                self.post.remove(text)

    def finish(self, rng):
        """All that was ever made here, shuffled, every one twice."""
        texts = [entry["text"] for entry in self.held.values()] * 2
        rng.shuffle(texts)
        self.take(self.browser.exchange(texts))

    def take(self, answer):
        assert {one["verdict"] for one in answer["answers"]} <= {"kept", "already_here"}, answer["answers"]
        assert not answer["more"]
        told = [read_entry(news["text"]) for news in answer["news"] if news["kind"] == "entry"]
        self.held.update((entry["id"], entry) for entry in told)


def a_day(seed, phones, card):
    """One card worked on by three phones whose post goes astray. Returns its state, which all agree on, and a Counter
    of the kinds of entries.
    """
    rng = random.Random(seed)
    workers = [Worker(phone) for phone in phones]
    # On some days the post is quick, so that the inspector has something to say; on others everybody contradicts.
    hurry = rng.uniform(0.15, 0.7)
    for _ in range(STEPS):
        worker = rng.choice(workers)
        if rng.random() < hurry:
            worker.work(card, rng)
        else:
            worker.deliver(rng)
    for worker in [*workers, *workers]:
        worker.finish(rng)
    held = [worker.held for worker in workers]
    pages = [worker.browser.page(card) for worker in workers]
    shown = {entry["id"]: read_entry(entry["text"]) for entry in pages[0]["entries"]}
    assert held[0] == held[1] == held[2] == shown, seed
    assert len(pages[0]["entries"]) == len(held[0]), seed
    entries = list(held[0].values())
    rng.shuffle(entries)
    expected = fold(TEMPLATE, entries, 1)
    assert [page["state"] for page in pages] == [expected] * 3, seed
    assert fold(TEMPLATE, entries + entries[::2], 1) == expected, seed
    digests = workers[0].browser.exchange(check=[card["card"]])["digests"]
    assert digests[card["card"]] == set_digest(held[0]), seed
    return expected, Counter(entry["payload"]["kind"] for entry in entries)


def test_three_phones_agree_whatever_the_post_does(browser, amount, tell):
    seed, orders = amount("seed"), amount("orders")
    issuer, phones, seen, entries = browser("noor"), [browser(login) for login in PEOPLE], Counter(), 0
    made = Counter()
    (template,) = issuer.ask("GET", "/api/templates").json["templates"]
    for number in range(orders):
        card = issuer.ask("POST", "/api/cards", {"revision": template["revision"], "registration": cast.REGISTRATION,
                                                 "times": cast.TIMES}).json
        state, kinds = a_day(seed + number, phones, card)
        seen.update(item["status"] for item in state["items"])
        seen.update({"superseded": len(state["superseded"])})
        made.update(kinds)
        entries += state["entries"]
    tell(f"{orders} orders of delivery, {entries} entries of 3 phones: all agree; {dict(sorted(seen.items()))}"
         f" of {dict(sorted(made.items()))}"
         f" (seeds {seed} to {seed + orders - 1})")
    assert entries > 5 * orders
    assert orders < 30 or made.keys() == set(ITEM_KINDS), "every kind of entry about an item"
