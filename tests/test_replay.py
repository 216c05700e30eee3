"""A genuine signature on anything but the entry it was made for: never accepted.

Whoever replays knows every public thing and every entry, but holds no key (21 CFR 11.70, from memory: a signature is
linked to its record so that it cannot be copied to another).
"""

import itertools
import json
import shutil
from collections import Counter

import pytest

from cast import REGISTRATION, TEMPLATE, TIMES
from crew import Member, hire
from witnessmark import create_app
from witnessmark.config import read_settings
from witnessmark.demo_phone import failing
from witnessmark.records import cards, entries, keys, shop, templates
from witnessmark.records.database import db, writing
from witnessmark.records.tables import Shop
from witnessmark.rules.base64url import base64url_text
from witnessmark.rules.canonical import canonical_text
from witnessmark.rules.signature import ENTRY_TYP, protected_header

OTHER_AIRCRAFT = "N0582W"
CRACK = {"item": "bolts", "what": "A crack.", "where": "At the head."}


@pytest.fixture
def inside(app):
    with app.app_context():
        yield app


def other_card(registration, revision):
    return cards.issue(revision, registration, TIMES, cards.all_cards()[0]["issued_by"])


def other_template():
    return templates.load({**TEMPLATE, "card": "other", "title": "Another trial card"})


def history(card):
    """One genuine entry of every kind, none sent yet, and the two who signed them."""
    maria, ines = Member("maria"), Member("ines")
    first, second, third = (maria.passes(card, item) for item in ("surface", "grip", "boom"))
    failed = maria.phone.make(maria.facts, card, "result", "bolts", failing("A crack.", "At the head."))
    mended = maria.phone.make(maria.facts, card, "corrective_action", "bolts",
                              {"action": "Replaced.", "readings": {}, "note": "", "photos": []}, [failed["id"]])
    settled = ines.phone.make(ines.facts, card, "settlement", "surface", {
        **first["payload"]["body"], "statement": ines.phone.code["statements"]["settlement"]["text"]}, [first["id"]])
    made = [first, second, third, failed, mended, settled,
            ines.phone.countersign(ines.facts, card, "grip", [second["id"]]),
            ines.phone.send_back(ines.facts, card, "boom", [third["id"]], "Paint over the crack."),
            ines.phone.disapprove(ines.facts, card, TEMPLATE, [], [CRACK]),
            ines.phone.release(ines.facts, card, TEMPLATE, [second, third]),
            ines.phone.admit(ines.facts, card, "ab" * 32, "I saw it.")]
    return maria, ines, made


def resealed(entry, kid=None, **members):
    """The entry with other members or another key named, under its old signature."""
    signature = entry["text"].rsplit(".", 1)[1]
    header = protected_header(kid or entry["kid"], ENTRY_TYP)
    payload = canonical_text({**entry["payload"], **members})
    return f"{base64url_text(header.encode())}.{base64url_text(payload.encode())}.{signature}"


def verdicts(member, texts):
    """What the server says of each, one delivery each: [(verdict, code)]."""
    with writing() as session:
        answers, _, _ = entries.receive(session, texts, member.person, member.phone.device)
    return [(answer["verdict"], answer["problem"] and answer["problem"].code) for answer in answers]


def test_no_entry_can_be_moved_to_another_place(inside, card):
    with writing() as session:
        cards.add_aircraft(session, {"registration": OTHER_AIRCRAFT, "serial_number": "0057", "model": "Invented"})
    hire("ivo", "inspector")
    maria, ines, made = history(card)
    ivo = Member("ivo")
    elsewhere = [other_card(REGISTRATION, card["revision"]), other_card(OTHER_AIRCRAFT, card["revision"]),
                 other_card(REGISTRATION, other_template())]
    places = [{name: one[name] for name in ("card", "revision", "aircraft")} for one in elsewhere]
    places += [{"card": places[0]["card"]}, {"aircraft": elsewhere[1]["aircraft"]},
               {"revision": elsewhere[2]["revision"]}, {"server": "0" * 32}, {"device": ivo.phone.device},
               {"sequence": 900, "previous": "0" * 64}, {"claimed_at": "2020-01-01T00:00:00Z"},
               {"supersedes": []}, {"supersedes": ["0" * 64]}]
    places += [{"item": item} for item in ("surface", "grip", "bolts", "boom", None)]
    signers = [{"author": {name: one.facts[name] for name in ("person", "name", "certificate")},
                "device": one.phone.device} for one in (maria, ines, ivo)]
    texts = [resealed(entry, **place) for entry in made for place in places]
    texts += [resealed(entry, kid, **signer) for entry in made for signer in signers
              for kid in (maria.kid, ines.kid, ivo.kid)]
    genuine = {entry["text"] for entry in made}
    texts = [text for text in texts if text not in genuine]
    told = Counter(itertools.chain.from_iterable(verdicts(ines, [text]) for text in texts))
    print(f"\n{len(texts)} replays of {len(made)} entries: {dict(told)}")
    assert len(texts) > 250 and set(verdict for verdict, _ in told) == {"refused"}


def test_no_signature_fits_another_entry(inside, card):
    maria, _, made = history(card)
    texts = ["{}.{}.{}".format(*one["text"].split(".")[:2], other["text"].split(".")[2])
             for one in made for other in made if one is not other]
    told = Counter(itertools.chain.from_iterable(verdicts(maria, [text]) for text in texts))
    print(f"\n{len(texts)} signatures of other entries: {dict(told)}")
    assert told == {("refused", "signature_wrong"): len(texts)}


def test_another_server_takes_none_of_them(inside, card, settings, tmp_path):
    """Another shop that knows the very same people, keys and cards, and differs in its id only."""
    maria, ines, made = history(card)
    folder = shutil.copytree(settings.data, tmp_path / "other")
    other = create_app(read_settings({"data": folder}, {}))
    with other.app_context():
        with writing() as session:
            session.get_one(Shop, 1).server = "0" * 32
        assert keys.key_of(maria.kid) and keys.key_of(ines.kid) and shop.shop()["server"] == "0" * 32
        told = [answer for entry in made for answer in verdicts(maria, [entry["text"]])]
        assert told == [("refused", "entry_other_server")] * len(made)
    other.extensions["witnessmark_office"].close()
    with other.app_context():
        db.engine.dispose()


def test_the_genuine_ones_are_taken(inside, card):
    """The control: nothing but the change was in the way. An admission names nothing that was refused here."""
    maria, _, made = history(card)
    told = verdicts(maria, [entry["text"] for entry in made])
    assert told[:-1] == [("kept", None)] * (len(made) - 1)
    assert told[-1] == ("refused", "not_in_quarantine")
    again = json.loads(canonical_text(verdicts(maria, [entry["text"] for entry in made[:-1]])))
    assert again == [["already_here", None]] * (len(made) - 1)
