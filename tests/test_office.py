"""The office: one sealed paper for each approval that stands, made in the background, kept for ever."""

import hashlib
import io
import json
import threading

import pikepdf
import pytest

from cast import TEMPLATE, jpeg, photo
from witnessmark.cli_audit import attached_record
from witnessmark.pdf.office import Office
from witnessmark.pdf.renderer import RenderFailed
from witnessmark.pdf.seal import check_seal, open_seal_key, seal_certificate
from witnessmark.records import cards, log, papers
from witnessmark.rules.entry import read_entry
from witnessmark.rules.merkle import verify_consistency
from witnessmark.rules.signed_note import read_checkpoint, verify_note


class Broken:
    """A renderer that fails until it is `mended`."""

    def __init__(self, renderer):
        self.mended, self._renderer = False, renderer

    def render(self, *asked):
        if not self.mended:
            raise RenderFailed("The rendering process ended unexpectedly (exit -9).")
        return self._renderer.render(*asked)

    def close(self):
        self._renderer.close()


@pytest.fixture
def office(app, settings):
    """An office without the thread of the app's own."""
    made = Office(app, open_seal_key(settings.seal_key, "Test shop"))
    yield made
    made.close()


@pytest.fixture(autouse=True)
def no_kicks(app, monkeypatch):
    """The app's own office sleeps, so that each test says when papers are made."""
    monkeypatch.setattr(app.extensions["witnessmark_office"], "kick", lambda: None)


def walk(browser, card, photos=()):
    """Every item passed and countersigned; returns the inspector's browser."""
    maria, ines = browser("maria"), browser("ines")
    entries = [maria.passes(card, name) for name in ("surface", "grip", "bolts")]
    entries.append(maria.passes(card, "boom", photos=list(photos)))
    assert {verdict for verdict, _ in maria.send(*entries)} == {"kept"}
    ines.send(ines.phone.countersign(ines.person, card, "grip", [entries[1]["id"]]))
    return ines


def release(inspector, card):
    """Release the card as the server knows it; returns the entry."""
    entries = [read_entry(entry["text"]) for entry in inspector.page(card)["entries"]]
    entry = inspector.phone.release(inspector.person, card, TEMPLATE, entries)
    assert inspector.send(entry) == [("kept", None)]
    return entry


def paper_of(app, office, card):
    with app.app_context():
        return office.paper_of(card["card"])


def test_a_released_card_gets_a_sealed_paper(app, office, browser, card, settings):
    entry = release(walk(browser, card), card)
    assert paper_of(app, office, card)["sentence"].startswith("The paper is being made.")
    assert office.make_due_papers() == []
    shown = paper_of(app, office, card)
    with app.app_context():
        pdf = papers.read(shown["sha256"])
        assert papers.find(card["card"])["release"] == entry["id"]
    assert shown == {"ready": True, "sha256": hashlib.sha256(pdf).hexdigest(), "sentence": None}
    assert check_seal(pdf, seal_certificate(settings.seal_key.read_bytes()))["holds"]
    with pikepdf.open(io.BytesIO(pdf)) as document:
        record = json.loads(document.attachments["work-card.json"].get_file().read_bytes())
    assert entry["text"] in record["entries"] and record["state"]["status"] == "released"


def test_the_record_in_a_paper_holds_the_keys_the_local_code_and_the_log_as_it_was(app, office, browser, card):
    release(walk(browser, card), card)
    office.make_due_papers()
    with app.app_context():
        pdf, facts = papers.read(papers.find(card["card"])["sha256"]), cards.card_facts(card["card"])
        public, origin = log.public_key(), log.origin()
        record = attached_record(pdf)
        read = read_checkpoint(record["log"]["checkpoint"])
        numbers = [log.inclusion(entry["id"])["number"] for entry in facts["entries"]]
        proof = log.consistency(read["size"])
        now = log.checkpoint()
    assert verify_note(record["log"]["checkpoint"], origin, public) and record["log"]["key"] == public
    # The paper itself is a leaf that comes after: the log has grown from the printed one.
    assert max(numbers) <= read["size"] < now["size"]
    assert verify_consistency(read["size"], read["root"], now["size"], now["root"], proof)
    assert record["local_code"] == facts["code"]
    assert {key["kid"] for key in record["keys"]} == {read_entry(text)["kid"] for text in record["entries"]}
    assert {key["name"] for key in record["keys"]} == {entry["payload"]["author"]["name"] for entry in facts["entries"]}


def test_a_paper_is_never_made_twice(app, office, browser, card):
    release(walk(browser, card), card)
    office.make_due_papers()
    first = paper_of(app, office, card)
    assert office.make_due_papers() == [] and office.make_paper(card["card"]) is None
    assert paper_of(app, office, card) == first


def test_an_open_card_says_what_its_paper_waits_for(app, office, browser, card):
    walk(browser, card)
    assert office.make_due_papers() == []
    assert office.make_paper(card["card"]) == "The paper is made when the card is released or disapproved."
    assert paper_of(app, office, card)["ready"] is False


def test_a_paper_waits_for_photos_that_are_still_on_a_phone(app, office, browser, card):
    data, sha256 = jpeg()
    release(walk(browser, card, [photo(data, sha256)]), card)
    ((waiting, sentence),) = office.make_due_papers()
    assert waiting == card["card"] and sentence.startswith("The paper waits for 1 photo that is still on a phone.")
    assert paper_of(app, office, card)["sentence"] == sentence
    tom = browser("tom")
    assert tom.ask("PUT", f"/api/photos/{sha256}?offset=0&bytes={len(data)}", data).json["complete"]
    assert office.make_due_papers() == []
    with app.app_context():
        pdf = papers.read(papers.find(card["card"])["sha256"])
    with pikepdf.open(io.BytesIO(pdf)) as document:
        assert any(found.get("/Subtype") == "/Image" for found in document.objects if isinstance(found, pikepdf.Stream))


def test_entries_that_a_release_does_not_cover_hold_the_paper_back(app, office, browser, card):
    ines = walk(browser, card)
    release(ines, card)
    maria = browser("maria")
    maria.send(maria.passes(card, "surface", note="another look"))
    ((_, sentence),) = office.make_due_papers()
    assert sentence.startswith("Entries arrived that the release does not cover.")


def test_a_second_release_gets_its_own_paper_and_the_first_stays(app, office, browser, card):
    ines = walk(browser, card)
    first = release(ines, card)
    office.make_due_papers()
    second = ines.phone.make(ines.person, card, "release", None, first["payload"]["body"], [first["id"]])
    ines.send(second)
    office.make_due_papers()
    with app.app_context():
        one, two = papers.find(card["card"], first["id"]), papers.find(card["card"], second["id"])
        assert one["sha256"] != two["sha256"]
        assert papers.read(one["sha256"])[:5] == papers.read(two["sha256"])[:5] == b"%PDF-"
    assert paper_of(app, office, card)["sha256"] == two["sha256"]


def test_a_rendering_that_fails_is_told_and_tried_again(app, office, browser, card):
    office._renderer = broken = Broken(office._renderer)
    release(walk(browser, card), card)
    ((_, sentence),) = office.make_due_papers()
    assert "could not be made" in sentence and "tried again" in sentence
    assert paper_of(app, office, card)["sentence"] == sentence
    broken.mended = True
    assert office.make_due_papers() == []
    assert paper_of(app, office, card)["ready"]


class Faulty(Broken):
    """A renderer with a fault that only one card brings out."""

    def render(self, html, *asked):
        if "WC-0001" in html:
            raise ZeroDivisionError
        return self._renderer.render(html, *asked)


def test_a_fault_in_one_card_does_not_keep_back_the_paper_of_another(app, office, browser, card, caplog):
    office._renderer = Faulty(office._renderer)
    with app.app_context():
        other = cards.issue(card["revision"], card["aircraft"]["registration"], card["times"], card["issued_by"])
    for one in (card, other):
        release(walk(browser, one), one)
    ((waiting, sentence),) = office.make_due_papers()
    assert waiting == card["card"] and "fault in the program" in sentence
    assert "ZeroDivisionError" in caplog.text
    assert not paper_of(app, office, card)["ready"] and paper_of(app, office, other)["ready"]


def test_a_kick_makes_papers_in_the_background(app, office, browser, card):
    release(walk(browser, card), card)
    for _ in range(5):
        office.kick()
    worker = office._thread
    worker.join(60)
    assert not worker.is_alive() and paper_of(app, office, card)["ready"]
    office.kick()
    office.close(60)


def test_an_office_that_closes_begins_no_other_paper(app, office, browser, card):
    release(walk(browser, card), card)
    office.close()
    assert office.make_due_papers() == []
    assert paper_of(app, office, card)["sentence"].startswith("The paper is being made.")


def test_two_threads_make_one_paper(app, office, browser, card):
    release(walk(browser, card), card)
    threads = [threading.Thread(target=office.make_due_papers) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    with app.app_context():
        kept = list((app.extensions["witnessmark_papers"].folder).rglob("*.pdf"))
        assert len(kept) == 1 and cards.card_facts(card["card"])["state"]["status"] == "released"
