"""Phones and server agree, whatever the network does to what travels between them."""

import gzip
import itertools
import json
import random
import tracemalloc

import pytest
from pysqlite3 import dbapi2 as sqlite3

from cast import TEMPLATE, Browser
from witnessmark.records import feed, shop
from witnessmark.rules.card_state import fold
from witnessmark.rules.entry import set_digest


def texts(entries):
    return [entry["text"] for entry in entries]


def ids(entries):
    return [entry["id"] for entry in entries]


def status(browser, card, name):
    (item,) = [item for item in browser.page(card)["state"]["items"] if item["item"] == name]
    return item["status"]


def test_an_entry_is_kept_and_another_phone_learns_it(browser, card):
    maria, tom = browser("maria"), browser("tom")
    entry = maria.passes(card, "surface")
    assert maria.send(entry) == [("kept", None)]
    news = tom.exchange()["news"]
    assert [(one["kind"], one.get("text")) for one in news] == [("card", None), ("entry", entry["text"])]


def test_the_answer_names_each_entry_by_its_hash_in_order(browser, card):
    maria = browser()
    sent = [maria.passes(card, name) for name in ("surface", "grip", "boom")]
    assert [answer["id"] for answer in maria.exchange(texts(sent))["answers"]] == ids(sent)


def test_the_same_delivery_again_changes_nothing(browser, card):
    maria = browser()
    entry = maria.passes(card, "surface")
    first = maria.exchange([entry["text"]])
    again = maria.exchange([entry["text"], entry["text"]], epoch=None, after=0)
    assert [answer["verdict"] for answer in again["answers"]] == ["already_here", "already_here"]
    assert again["digests"] == first["digests"]
    assert browser("tom").exchange()["sequence"] == first["sequence"]


def test_an_entry_twice_in_one_delivery_is_kept_once(browser, card):
    maria = browser()
    entry = maria.passes(card, "surface")
    assert maria.send(entry, entry) == [("kept", None), ("already_here", None)]
    assert browser("tom").page(card)["state"]["entries"] == 1


def test_any_order_and_any_cut_ends_in_the_same_state(browser, card):
    maria, rng = browser(), random.Random(417)
    first = maria.passes(card, "surface")
    second = maria.passes(card, "surface", [first["id"]], note="Looked at it again.")
    sent = [first, second, maria.passes(card, "grip"), maria.passes(card, "bolts")]
    for entry in rng.sample(sent, len(sent)):
        maria.send(entry, *rng.sample(sent, 2))
    page = maria.page(card)
    assert page["state"] == fold(TEMPLATE, sent)
    assert sorted(ids(page["entries"])) == sorted(ids(sent))


def test_an_entry_that_replaces_one_still_on_its_way_is_kept(browser, card):
    maria = browser()
    first = maria.passes(card, "surface")
    second = maria.passes(card, "surface", [first["id"]])
    assert maria.send(second) == [("kept", None)]
    (item, *_) = maria.page(card)["state"]["items"]
    assert (item["missing"], item["done"]) == ([first["id"]], False)
    assert maria.send(first) == [("kept", None)]
    assert status(maria, card, "surface") == "passed"


def test_two_phones_that_disagree_leave_the_item_disputed_for_both(browser, card):
    maria, tom = browser("maria"), browser("tom")
    passed = maria.passes(card, "surface")
    failed = tom.passes(card, "surface", result="fail", discrepancy={"what": "A crack.", "where": "root"})
    assert maria.send(passed) == tom.send(failed) == [("kept", None)]
    assert status(maria, card, "surface") == status(tom, card, "surface") == "disputed"
    maria.exchange(), tom.exchange()
    digests = [phone.exchange(check=[card["card"]])["digests"] for phone in (maria, tom)]
    assert digests == [{card["card"]: set_digest([passed["id"], failed["id"]])}] * 2


def test_the_digest_is_the_hash_of_the_sorted_ids_one_a_line(browser, card):
    maria = browser()
    sent = [maria.passes(card, name) for name in ("surface", "grip")]
    assert maria.exchange(texts(sent))["digests"] == {card["card"]: set_digest(ids(sent))}
    unknown = "f" * 32
    assert maria.exchange(check=[unknown])["digests"] == {unknown: set_digest([])}


def test_reconcile_tells_both_sides_what_they_lack(browser, card):
    maria = browser()
    here, there = maria.passes(card, "surface"), maria.passes(card, "grip")
    maria.send(here)
    answer = maria.ask("POST", f"/api/cards/{card['card']}/reconcile", {"ids": [there["id"]]})
    assert answer.json == {"lack": [there["id"]], "entries": [here["text"]]}


def test_the_cursor_never_skips_a_page_of_news(browser, card, monkeypatch):
    monkeypatch.setattr(feed, "AT_ONCE", 2)
    maria, tom = browser("maria"), browser("tom")
    sent = [maria.passes(card, name) for name in ("surface", "grip", "bolts", "boom")]
    maria.exchange(texts(sent))
    pages = [tom.exchange()]
    while pages[-1]["more"]:
        pages.append(tom.exchange())
    assert [len(page["news"]) for page in pages] == [2, 2, 1]
    assert [one["text"] for page in pages for one in page["news"] if one["kind"] == "entry"] == texts(sent)


def test_what_a_phone_sends_does_not_come_back_to_it(browser, card):
    maria = browser()
    maria.exchange()
    assert maria.exchange([maria.passes(card, "surface")["text"]])["news"] == []


def test_a_quiet_sync_is_small(browser, card):
    maria = browser()
    maria.exchange()
    answer = maria.exchange()
    assert (answer["news"], answer["answers"], answer["digests"], answer["more"]) == ([], [], {}, False)


def test_a_new_epoch_brings_all_news_again(app, browser, card):
    maria = browser()
    first = maria.exchange()
    with app.app_context():
        epoch = shop.new_epoch()
    again = maria.exchange()
    assert (again["epoch"], again["news"]) == (epoch, first["news"])
    assert first["epoch"] != epoch


def test_a_restored_backup_is_noticed_and_refilled_by_the_phones(app, settings, browser, card):
    maria = browser()
    maria.exchange()
    backup = settings.data / "backup.sqlite3"
    with sqlite3.connect(settings.data / "witnessmark.sqlite3") as here, sqlite3.connect(backup) as copy:
        here.backup(copy)
    sent = [maria.passes(card, name) for name in ("surface", "grip")]
    before = maria.exchange(texts(sent))
    with sqlite3.connect(backup) as copy, sqlite3.connect(settings.data / "witnessmark.sqlite3") as here:
        copy.backup(here)
    after = maria.exchange()
    assert after["epoch"] != before["epoch"]
    assert [one["kind"] for one in after["news"]] == ["card"]
    assert maria.send(*sent) == [("kept", None)] * 2
    assert maria.exchange(check=[card["card"]])["digests"] == {card["card"]: set_digest(ids(sent))}


def test_a_packed_request_is_taken_and_a_packed_answer_given(browser, card):
    maria = browser()
    entry = maria.passes(card, "surface")
    sent = {"epoch": None, "after": 0, "entries": [entry["text"]], "check": [], "size": 0}
    body = gzip.compress(json.dumps(sent).encode())
    answer = maria.ask("POST", "/api/sync", body, **{"Content-Encoding": "gzip", "Accept-Encoding": "gzip",
                                                   "Content-Type": "application/json"})
    assert answer.headers["Content-Encoding"] == "gzip"
    assert json.loads(gzip.decompress(answer.data))["answers"] == [
        {"id": entry["id"], "verdict": "kept", "status": 201, "problem": None}]


@pytest.mark.parametrize("body", [
    gzip.compress(b"0" * (64 * 2**20)), b"not gzip", gzip.compress(b"{}")[:-4], gzip.compress(b"{}") + b"more"],
    ids=["too large", "not packed", "cut short", "more behind it"])
def test_a_packed_request_that_is_wrong_is_refused(browser, card, body):
    answer = browser().ask("POST", "/api/sync", body, **{"Content-Encoding": "gzip"})
    assert answer.json["problem"]["code"] in ("request_too_large", "request_gzip")
    assert answer.status_code in (400, 413)


def test_a_packed_request_is_not_unpacked_beyond_the_limit(browser, card, settings):
    maria, bomb = browser(), gzip.compress(b"0" * (256 * 2**20))
    tracemalloc.start()
    maria.ask("POST", "/api/sync", bomb, **{"Content-Encoding": "gzip"})
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak < 4 * settings.max_unpacked


def test_only_sync_takes_packed_requests(browser, card):
    answer = browser().ask("POST", "/api/photos/lacking", gzip.compress(b'{"photos":[]}'),
                           **{"Content-Encoding": "gzip"})
    assert answer.status_code == 415


def test_a_failure_in_the_middle_keeps_nothing_of_the_delivery(app, browser, card, monkeypatch):
    maria = browser()
    sent = [maria.passes(card, name) for name in ("surface", "grip")]
    monkeypatch.setattr("witnessmark.web.sync.entries.digests", lambda cards: 1 / 0)
    failed = maria.ask("POST", "/api/sync", {"epoch": None, "after": 0, "entries": texts(sent), "check": [], "size": 0})
    assert (failed.status_code, failed.json["problem"]["code"]) == (500, "server_failed")
    monkeypatch.undo()
    assert maria.page(card)["state"]["entries"] == 0
    assert maria.send(*sent) == [("kept", None)] * 2


def test_twenty_phones_at_once_lose_nothing(app, browser, card):
    from concurrent.futures import ThreadPoolExecutor

    phones = [browser("maria") for _ in range(20)]
    made = [[phone.passes(card, "surface", note=str(n)) for n in range(5)] for phone in phones]
    with ThreadPoolExecutor(8) as pool:
        answers = list(pool.map(lambda pair: pair[0].send(*pair[1]), zip(phones, made, strict=True)))
    assert answers == [[("kept", None)] * 5] * 20
    everything = set(ids(itertools.chain(*made)))
    assert set(ids(phones[0].page(card)["entries"])) == everything
    fresh = Browser(app).sign_in("tom").exchange()
    assert [one["sequence"] for one in fresh["news"]] == list(range(1, 102))
