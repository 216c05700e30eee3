"""Phones and server agree, whatever the network does to what travels between them."""

import gzip
import json

from cast import Browser

from witnessmark.records import shop
from witnessmark.rules.entry import set_digest


def test_an_entry_is_kept_and_another_phone_learns_it(browser, card):
    maria, tom = browser("maria"), browser("tom")
    entry = maria.passes(card, "surface")
    assert maria.send(entry) == [("kept", None)]
    news = tom.exchange()["news"]
    assert [(one["kind"], one.get("text")) for one in news] == [("card", None), ("entry", entry["text"])]


def test_the_same_delivery_again_changes_nothing(browser, card):
    maria = browser()
    entry = maria.passes(card, "surface")
    first = maria.exchange([entry["text"]])
    again = maria.exchange([entry["text"], entry["text"]], epoch=None, after=0)
    assert [answer["verdict"] for answer in again["answers"]] == ["already_here", "already_here"]
    assert again["digests"] == first["digests"]
    assert browser("tom").exchange()["sequence"] == first["sequence"]
