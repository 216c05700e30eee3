"""Phones, a server and everything that goes wrong between them, in any order: they always end up the same.

Method: a Hypothesis state machine (hypothesis.readthedocs.io, "Stateful testing") whose model is a set of entry ids.
"""

import shutil

import pytest
from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, precondition, rule, run_state_machine_as_test
from pysqlite3 import dbapi2 as sqlite3

from cast import TEMPLATE, Browser
from witnessmark import create_app
from witnessmark.config import read_settings
from witnessmark.records import shop
from witnessmark.records.database import db
from witnessmark.rules.card_state import fold
from witnessmark.rules.entry import read_entry, set_digest

ITEMS = st.sampled_from(["surface", "grip", "bolts", "boom"])
WHO = st.integers(0, 2)
PEOPLE = ("maria", "tom", "ines")


class Mobile(Browser):
    """A phone with a memory: what it holds, and which of that it knows to be on the server."""

    def __init__(self, app):
        super().__init__(app)
        self.held, self.sent = {}, set()

    def request(self, texts):
        return {"epoch": self.epoch, "after": self.after, "entries": list(texts), "check": [], "size": 0}

    def unsent(self):
        return [text for id, text in self.held.items() if id not in self.sent]

    def take(self, answer):
        """Take in an answer as our client does: news, verdicts and the cursor together."""
        if answer["epoch"] != self.epoch:
            self.sent = set()
        for verdict in answer["answers"]:
            if verdict["verdict"] != "refused":
                self.sent.add(verdict["id"])
        for news in answer["news"]:
            if news["kind"] == "entry":
                id = read_entry(news["text"])["id"]
                self.held[id] = news["text"]
                self.sent.add(id)
        self.epoch, self.after = answer["epoch"], answer["sequence"]


class Shop(RuleBasedStateMachine):
    """`promised` holds what some phone was told is kept and no restored backup has taken away since."""

    folder = None
    card = None

    @initialize()
    def open_shop(self):
        shutil.rmtree(self.folder / "now", ignore_errors=True)
        shutil.copytree(self.folder / "filled", self.folder / "now")
        self.app, self.promised, self.backup = create_app(read_settings({"data": self.folder / "now"}, {})), set(), None
        self.phones = [Mobile(self.app).sign_in(login) for login in PEOPLE]
        for phone in self.phones:
            phone.take(self.post(phone, phone.request([])))

    def post(self, phone, request):
        answer = phone.ask("POST", "/api/sync", request)
        assert answer.status_code == 200, answer.json
        self.promised |= {one["id"] for one in answer.json["answers"] if one["verdict"] != "refused"}
        return answer.json

    @rule(who=WHO, item=ITEMS, seen=st.booleans(), note=st.sampled_from(["", "Again."]))
    def record(self, who, item, seen, note):
        phone = self.phones[who]
        state = fold(TEMPLATE, [{"id": id, "payload": payload(text)} for id, text in phone.held.items()])
        (known,) = [one for one in state["items"] if one["item"] == item]
        entry = phone.passes(self.card, item, known["heads"] if seen else [], note=note)
        phone.held[entry["id"]] = entry["text"]

    @rule(who=WHO)
    def sync(self, who):
        phone = self.phones[who]
        phone.take(self.post(phone, phone.request(phone.unsent())))

    @rule(who=WHO, item=ITEMS, seen=st.booleans())
    def record_and_sync(self, who, item, seen):
        self.record(who, item, seen, "")
        self.sync(who)

    @rule(who=WHO, other=WHO, item=ITEMS)
    def two_record_the_same_item_apart(self, who, other, item):
        self.record(who, item, False, "")
        self.record(other, item, True, "Again.")
        self.sync(other)

    @rule(who=WHO, data=st.data())
    def send_some_twice_in_any_order(self, who, data):
        phone = self.phones[who]
        if phone.held:
            texts = data.draw(st.lists(st.sampled_from(sorted(phone.held.values())), max_size=4))
            phone.take(self.post(phone, phone.request(texts)))

    @rule(who=WHO)
    def lose_the_answer(self, who):
        phone = self.phones[who]
        self.post(phone, phone.request(phone.unsent()))

    @rule(who=WHO, after=st.integers(0, 5))
    def ask_with_an_old_cursor(self, who, after):
        phone = self.phones[who]
        phone.take(self.post(phone, {**phone.request(phone.unsent()), "after": min(after, phone.after)}))

    @rule()
    def back_up(self):
        self.backup = (copy(self.folder / "now", self.folder / "backup.sqlite3"), set(self.promised))

    @precondition(lambda self: self.backup)
    @rule()
    def restore_the_backup(self):
        path, self.promised = self.backup[0], set(self.backup[1])
        with sqlite3.connect(path) as kept, sqlite3.connect(self.folder / "now" / "witnessmark.sqlite3") as here:
            kept.backup(here)
        with self.app.app_context():
            shop.new_epoch()
        for phone, login in zip(self.phones, PEOPLE, strict=True):
            phone.sign_in(login)

    @rule()
    def restart_the_server(self):
        with self.app.app_context():
            db.engine.dispose()
        self.app = create_app(read_settings({"data": self.folder / "now"}, {}))
        for phone in self.phones:
            cookie = phone.client.get_cookie("sid")
            phone.client = self.app.test_client()
            phone.client.set_cookie("sid", cookie.value)

    def teardown(self):
        if not hasattr(self, "phones"):
            return
        for _ in range(2):
            for phone in self.phones:
                phone.take(self.post(phone, phone.request(phone.unsent())))
        for phone in self.phones:
            phone.take(self.post(phone, phone.request([])))
        held = [set(phone.held) for phone in self.phones]
        page = self.phones[0].page(self.card)
        assert held[0] == held[1] == held[2] == {entry["id"] for entry in page["entries"]} >= self.promised
        entries = [{"id": id, "payload": payload(text)} for id, text in self.phones[1].held.items()]
        assert page["state"] == fold(TEMPLATE, entries)
        digest = self.post(self.phones[2], {**self.phones[2].request([]), "check": [self.card["card"]]})["digests"]
        assert digest == {self.card["card"]: set_digest(held[0])}
        self.app.extensions["witnessmark_office"].close()
        with self.app.app_context():
            db.engine.dispose()


def payload(text):
    return read_entry(text)["payload"]


def copy(folder, path):
    path.unlink(missing_ok=True)
    with sqlite3.connect(folder / "witnessmark.sqlite3") as here, sqlite3.connect(path) as kept:
        here.backup(kept)
    return path


@pytest.mark.parametrize("days", [8, pytest.param(60, marks=pytest.mark.faults)])
def test_they_always_end_up_the_same(filled, tmp_path, days):
    shutil.copytree(filled[0], tmp_path / "filled")
    Shop.folder, Shop.card = tmp_path, filled[1]
    run_state_machine_as_test(Shop, settings=settings(
        max_examples=days, stateful_step_count=30, deadline=None, derandomize=True, database=None,
        # A failure is printed as its thirty steps; making them fewer takes a quarter of an hour.
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck)))
