"""The audit finds every change of the records that was made behind the program's back, and says nothing otherwise."""

import json

import pytest
from click.testing import CliRunner
from pysqlite3 import dbapi2 as sqlite3

from cast import TEMPLATE, TIMES, jpeg, photo
from crew import Member, hire, leaves, person_of, vouch_text
from witnessmark import data_folder
from witnessmark.cli import main
from witnessmark.cli_audit import attached_record
from witnessmark.demo_phone import Key
from witnessmark.records import accounts, cards, keys, log, papers, photos, quarantine, shop, vouching
from witnessmark.records.audit import audit
from witnessmark.records.database import APPEND_ONLY, db, writing
from witnessmark.rules.canonical import canonical_text
from witnessmark.rules.entry import entry_text
from witnessmark.rules.signature import ENTRY_TYP

FILE = "witnessmark.sqlite3"
KINDS = ["log", "signatures", "arrivals", "chain", "checkpoints", "people", "cards", "keys", "key ends", "vouches",
         "refusals", "decisions", "templates", "local codes", "photos", "papers"]


class Shop:
    """A shop in which everything has happened once."""

    def __init__(self, app, card):
        self.app, self.card = app, card
        self.maria, self.ines = Member("maria"), Member("ines")
        data, sha256 = jpeg()
        photos.take_part(sha256, 0, len(data), data)
        self.photo = photo(data, sha256)
        self.maria.phone.checkpoint = log.checkpoint()
        self.surface = self.maria.passes(card, "surface")
        self.maria.send(self.surface)
        self.maria.phone.checkpoint = log.checkpoint()
        self.made = [self.surface, *(self.maria.passes(card, name) for name in ("grip", "bolts")),
                     self.maria.passes(card, "boom", photos=[self.photo])]
        self.maria.send(*self.made)
        self.made.append(self.ines.phone.countersign(self.ines.facts, card, "grip", [self.made[1]["id"]]))
        self.release = self.ines.phone.release(self.ines.facts, card, TEMPLATE, self.made)
        self.ines.send(*self.made, self.release)
        self.paper = papers.keep(card["card"], self.release["id"], self.pdf())
        self.vouched()
        self.lifted()

    def pdf(self, **changes):
        """Stands in for a sealed paper: `read` below finds the record in it."""
        facts = cards.card_facts(self.card["card"])
        record = {"card": facts["card"], "template": facts["template"], "local_code": facts["code"],
                  "entries": [entry["text"] for entry in facts["entries"]], "state": facts["state"]}
        return canonical_text({**record, **changes}).encode()

    def lifted(self):
        """On a second card: a key ends, one of its entries is taken in, another is set aside."""
        other = cards.issue(self.card["revision"], "N0417W", TIMES, person_of("noor"))
        tom = Member("tom")
        self.late, lost = tom.passes(other, "surface"), tom.passes(other, "boom")
        with writing() as session:
            keys.end(session, tom.kid, "phone lost", None)
        tom.send(self.late, lost)
        self.ines.send(self.ines.phone.admit(self.ines.facts, other, self.late["id"], "I was there."))
        with writing() as session:
            quarantine.set_aside(session, quarantine.refused()[0]["number"], "Nobody was there.", self.ines.person)


    def vouched(self):
        """Eva begins anew; Ines vouches for the key she sets up."""
        accounts.start_anew(hire("eva", "mechanic"), "a warm morning in the hangar", "forgotten", person_of("noor"))
        self.eva = Member("eva")
        self.vouch = vouch_text(self.ines.phone, self.ines.person, self.eva.kid, self.eva.person)
        vouching.vouch(self.vouch, self.eva.kid, self.ines.person, self.ines.phone.device)


def read(pdf):
    return json.loads(pdf)


@pytest.fixture
def busy(app, card):
    """Everything has happened once."""
    with app.app_context():
        yield Shop(app, card)


def found(reader=read):
    """{kind: findings} of an audit, of the kinds that have any."""
    db.session.rollback()
    return {line.kind: line.findings for line in audit(reader) if line.findings}


@pytest.fixture
def tamper(settings):
    """Change the database file as somebody with a copy of sqlite could."""
    def write(*statements):
        db.session.rollback()
        with sqlite3.connect(settings.data / FILE) as file:
            for table in APPEND_ONLY:
                for verb in ("update", "delete"):
                    file.execute(f"DROP TRIGGER IF EXISTS {table}_no_{verb}")
            for statement in statements:
                assert file.execute(*statement if isinstance(statement, tuple) else (statement,)).rowcount > 0
        file.close()
    return write


def test_nothing_is_wrong_in_a_shop_where_everything_happened(busy):
    told = list(audit(read))
    assert [line.kind for line in told] == KINDS
    assert [(line.kind, line.findings) for line in told if line.findings] == []
    assert all(line.checked for line in told)
    assert dict((line.kind, line.checked) for line in told)["signatures"] == 8


def test_a_changed_text_is_found_as_signature_and_arrival(busy, tamper):
    other = busy.maria.phone.key_of(busy.maria.person).sign(ENTRY_TYP, entry_text(busy.surface["payload"]))
    tamper(("UPDATE entries SET text = ? WHERE id = ?", (other, busy.surface["id"])))
    assert list(found()) == ["signatures", "papers"]
    assert "other bytes" in found()["signatures"][0] and "not like that" in found()["papers"][0]


def test_a_damaged_signature_is_found(busy, tamper):
    head, body, signature = busy.late["text"].split(".")
    text = f"{head}.{body}.{('A' if signature[0] != 'A' else 'B') + signature[1:]}"
    tamper(("UPDATE entries SET text = ? WHERE id = ?", (text, busy.late["id"])))
    assert "the signature is not that of Tom Adler" in found()["signatures"][0]


@pytest.mark.parametrize(("column", "value"), [("item", "grip"), ("kind", "release"), ("device", "0" * 32),
                                               ("sequence", 999)])
def test_a_row_that_says_something_else_than_was_signed_is_found(busy, tamper, column, value):
    tamper((f"UPDATE entries SET {column} = ? WHERE id = ?", (value, busy.late["id"])))
    assert "its row says something else" in found()["signatures"][0]


def test_a_row_that_says_another_author_is_found(busy, tamper):
    tamper(("UPDATE entries SET person = ? WHERE id = ?", (busy.maria.person, busy.late["id"])))
    assert "its row says something else" in found()["signatures"][0]


def test_a_removed_entry_is_found_by_its_leaf_and_by_the_chain(busy, tamper):
    tamper(("DELETE FROM entries WHERE id = ?", (busy.surface["id"],)))
    told = found()
    assert "is gone" in told["arrivals"][0] and "somebody removed it" in told["chain"][0]


def test_an_entry_put_in_without_a_leaf_is_found(busy, tamper):
    entry = busy.maria.passes(busy.card, "surface", note="put in")
    payload = entry["payload"]
    tamper(("INSERT INTO entries VALUES (?, ?, 'surface', 'result', ?, ?, ?, '2026-11-25T08:00:00Z', ?)",
            (entry["id"], payload["card"], busy.maria.person, payload["device"], payload["sequence"], entry["text"])))
    assert "does not state its arrival" in found()["signatures"][0]


def test_a_changed_leaf_does_not_fit_its_node(busy, tamper):
    tamper("UPDATE log SET leaf = replace(leaf, '\"chosen\"', '\"cheesy\"') WHERE leaf LIKE '%\"chosen\"%'")
    assert "Level 0" in found()["log"][0]


def test_a_changed_node_does_not_follow_from_the_leaves(busy, tamper):
    tamper("UPDATE nodes SET hash = (SELECT hash FROM nodes WHERE level = 0 AND position = 0) "
           "WHERE level = 1 AND position = 1")
    assert "Level 1 of the log's tree" in found()["log"][0]


def test_a_node_too_many_is_found(busy, tamper):
    tamper(f"INSERT INTO nodes VALUES (0, 4000, '{'0' * 64}')", f"INSERT INTO nodes VALUES (40, 0, '{'0' * 64}')")
    assert len(found()["log"]) == 2


@pytest.mark.parametrize(("statement", "words"), [
    ("DELETE FROM log WHERE number = 3", "Leaf 3 of the log is missing"),
    ("UPDATE log SET kind = 'alarm' WHERE number = 3", "another kind"),
    ("UPDATE log SET leaf = leaf || ' ' WHERE number = 3", "cannot be read"),
    ("UPDATE log SET leaf = '[3]' WHERE number = 3", "another kind"),
    ("UPDATE log SET entry = NULL WHERE number = (SELECT max(number) FROM log WHERE kind = 'entry')", "another entry"),
], ids=["gone", "kind", "not canonical", "no object", "entry"])
def test_a_leaf_is_missing_or_misread(busy, tamper, statement, words):
    tamper(statement)
    assert any(words in finding for finding in found()["log"])


def test_leaves_cut_off_the_end_are_found_by_what_they_stated(busy, tamper):
    tamper("DELETE FROM log WHERE number > (SELECT max(number) - 2 FROM log)")
    assert {"log", "decisions"} <= set(found())


def test_a_second_leaf_for_one_entry_is_found(busy, tamper):
    size = log.size()
    with writing() as session:
        log.append_all(session, [("alarm", {"what": "x"}, None)])
    tamper(("UPDATE log SET kind = 'entry', leaf = (SELECT leaf FROM log AS first WHERE first.entry = ?) "
            "WHERE number = ?", (busy.late["id"], size + 1)))
    told = found()["log"]
    assert any("a second time" in finding for finding in told) and any("another entry" in finding for finding in told)


def test_an_admission_that_is_not_there_is_found(busy, tamper):
    tamper("UPDATE log SET leaf = replace(leaf, 'admitted_by\":\"', 'admitted_by\":\"0') "
           "WHERE leaf LIKE '%admitted_by%'")
    assert "the admission" in found()["arrivals"][0]


def test_what_arrived_after_its_key_ended_without_admission_is_found(busy, tamper):
    tamper("UPDATE log SET leaf = replace(leaf, 'admitted_by', 'admitted_as') WHERE leaf LIKE '%admitted_by%'")
    assert "after its key was ended" in found()["signatures"][0]


def test_what_arrived_before_its_key_was_stated_is_found(busy, tamper):
    tamper(("UPDATE log SET leaf = replace(leaf, ?, 'x') WHERE kind = 'key'", (busy.maria.kid,)))
    told = found()
    assert "before its key was known" in told["signatures"][0] and told["keys"]


@pytest.mark.parametrize(("statement", "kind"), [
    ("UPDATE entries SET received_at = '2001-01-01T00:00:00Z' WHERE kind = 'release'", "signatures"),
    ("UPDATE shop SET server = '00000000000000000000000000000000'", "signatures"),
    ("INSERT INTO roles (person, role) SELECT person, 'inspector' FROM people WHERE login = 'tom'", "people"),
    ("UPDATE roles SET until_day = '2099-01-01' WHERE role = 'inspector'", "people"),
    ("DELETE FROM roles WHERE role = 'reader'", "people"),
    ("UPDATE people SET name = 'Thomas Adler' WHERE login = 'tom'", "people"),
    ("UPDATE people SET login = 'thomas' WHERE login = 'tom'", "people"),
    ("UPDATE people SET certificate_number = 'M-9' WHERE login = 'tom'", "people"),
    ("UPDATE people SET active = 0 WHERE login = 'rowan'", "people"),
    ("UPDATE shop SET local_code = NULL", "local codes"),
    ("UPDATE cards SET times = '{}'", "cards"),
    ("UPDATE cards SET issued_by = (SELECT person FROM people WHERE login = 'rowan')", "cards"),
    ("UPDATE keys SET guard = 'passkey'", "keys"),
    ("DELETE FROM keys WHERE kid = (SELECT max(kid) FROM keys)", "keys"),
    ("DELETE FROM key_ends", "key ends"),
    ("DELETE FROM vouches", "vouches"),
    ("UPDATE vouches SET person = (SELECT person FROM people WHERE login = 'maria')", "vouches"),
    ("UPDATE vouches SET kid = (SELECT max(kid) FROM keys WHERE vouch_needed = 0)", "vouches"),
    ("UPDATE vouches SET text = text || 'x'", "vouches"),
    ("UPDATE keys SET vouch_needed = 1 - vouch_needed", "vouches"),
    ("UPDATE key_ends SET why = 'replaced'", "key ends"),
    ("UPDATE quarantine SET code = 'entry_shape'", "refusals"),
    ("UPDATE quarantine SET text = text || 'x'", "refusals"),
    ("DELETE FROM quarantine WHERE number = 1", "refusals"),
    ("UPDATE resolutions SET verdict = 'admitted'", "decisions"),
    ("DELETE FROM resolutions", "decisions"),
    ("UPDATE revisions SET text = replace(text, 'Cracks', 'Crumbs')", "templates"),
    ("UPDATE local_codes SET text = text || ' '", "local codes"),
    ("DELETE FROM papers", "papers"),
])
def test_a_changed_or_removed_row_is_found(busy, tamper, statement, kind):
    tamper(statement)
    assert found()[kind]


def test_a_key_of_another_name_is_found(busy, tamper):
    jwk = canonical_text(busy.ines.phone.key_of(busy.ines.person).jwk)
    tamper(("UPDATE keys SET jwk = ? WHERE kid = ?", (jwk, busy.maria.kid)))
    told = found()
    assert "not the one of that name" in told["keys"][0] and len(told["signatures"]) == 4


def test_a_vouch_signed_by_nobody_of_the_shop_is_found(busy, tamper):
    text = vouch_text(busy.ines.phone, busy.ines.person, busy.eva.kid, busy.eva.person, signer=Key())
    tamper(("UPDATE vouches SET text = ?", (text,)))
    assert "no key of this shop signed it" in found()["vouches"][0]


def test_another_vouch_than_the_one_the_log_states_is_found(busy, tamper):
    """Signed by the same person for the same key: only its hash in the log tells."""
    text = vouch_text(busy.ines.phone, busy.ines.person, busy.eva.kid, busy.eva.person)
    tamper(("UPDATE vouches SET text = ?", (text,)))
    assert "the log does not state it like that" in found()["vouches"][0]


@pytest.mark.parametrize("voucher", ["noor", "eva"])
def test_a_vouch_of_the_author_or_of_the_person_themself_is_found_even_when_the_log_states_it(busy, tamper, voucher):
    """As if the server had taken it: row, leaf and tree agree."""
    by = Member(voucher) if voucher == "noor" else busy.eva
    text = vouch_text(by.phone, by.person, busy.eva.kid, busy.eva.person)
    said, _ = vouching.read(text)
    size = log.size()
    tamper("DELETE FROM vouches", "UPDATE log SET kind = 'alarm' WHERE kind = 'vouched'",
           ("INSERT INTO vouches VALUES (?, ?, ?, '2026-11-25T08:00:00Z')", (busy.eva.kid, by.person, text)))
    with writing() as session:
        assert log.append(session, "vouched", vouching.logged(busy.eva.kid, said, text)) == size + 1
    assert "the author of the new start gave it" in found()["vouches"][0]


def test_what_was_taken_in_before_its_key_was_vouched_for_is_found(busy, tamper):
    """As if somebody had cleared the mark on the key, let the entry in, and set the mark again."""
    accounts.start_anew(person_of("tom"), "a warm morning in the hangar", "forgotten", person_of("noor"))
    tom = Member("tom")
    tamper(("UPDATE keys SET vouch_needed = 0 WHERE kid = ?", (tom.kid,)))
    assert tom.send(tom.passes(busy.card, "surface", note="taken in too early")) == [("kept", None)]
    assert "is not as it follows from the log" in found()["vouches"][0]
    assert "before anybody had vouched" in found()["signatures"][0]
    tamper(("UPDATE keys SET vouch_needed = 1 WHERE kid = ?", (tom.kid,)))
    told = found()
    assert "vouches" not in told and "before anybody had vouched" in told["signatures"][0]


def test_keys_of_before_vouching_are_not_asked_for_one(busy, tamper):
    """Their leaves say nothing of it; the tree would tell if that had been taken out later, as here."""
    accounts.start_anew(person_of("tom"), "a warm morning in the hangar", "forgotten", person_of("noor"))
    tom = Member("tom")
    tamper(("UPDATE keys SET vouch_needed = 0 WHERE kid = ?", (tom.kid,)),
           ("UPDATE log SET leaf = replace(leaf, ',\"vouch_needed\":true', '') WHERE leaf LIKE ? AND kind = 'key'",
            (f"%{tom.kid}%",)))
    assert tom.send(tom.passes(busy.card, "surface", note="before vouching")) == [("kept", None)]
    assert list(found()) == ["log"]


def test_a_local_code_the_log_never_stated_is_found(busy, tamper):
    tamper("UPDATE log SET leaf = replace(leaf, '\"revision\"', '\"Revision\"') WHERE kind = 'local_code'")
    assert "which work cards follow" in found()["local codes"][0]


def test_a_checkpoint_this_log_never_had_is_found(busy):
    busy.maria.phone.checkpoint = {"size": 3, "root": "ab" * 32}
    busy.maria.send(busy.maria.passes(busy.card, "surface"))
    busy.maria.phone.checkpoint = {"size": 4000, "root": log.checkpoint()["root"]}
    busy.maria.send(busy.maria.passes(busy.card, "boom"))
    assert len(found()["checkpoints"]) == 2


def test_a_gap_in_a_phones_numbers_is_told_with_what_it_may_mean(busy):
    busy.maria.passes(busy.card, "surface", note="never sent")
    busy.maria.send(busy.maria.passes(busy.card, "boom", note="sent"))
    (told,) = found()["chain"]
    assert "It may still be on the phone: connect it." in told


def test_a_phone_that_was_copied_is_told(busy):
    phone = busy.maria.phone
    phone.previous = "0" * 64
    busy.maria.send(busy.maria.passes(busy.card, "surface", note="from the copy"))
    (told,) = found()["chain"]
    assert "copied or set back" in told


def test_a_refused_entry_leaves_no_gap(busy):
    busy.maria.send(busy.maria.passes(busy.card, "surface", changes={"item": "wing"}))
    busy.maria.send(busy.maria.passes(busy.card, "boom"))
    assert found() == {}


def test_a_changed_or_missing_photo_is_found(busy, settings):
    (path,) = [one for one in (settings.data / "photos" / "originals").rglob("*") if one.is_file()]
    path.write_bytes(path.read_bytes() + b"x")
    assert "was changed" in found()["photos"][0]
    path.unlink()
    assert "cannot be read" in found()["photos"][0]


def test_a_changed_paper_is_found(busy, settings):
    (path,) = (settings.data / "papers").rglob("*.pdf")
    path.write_bytes(path.read_bytes() + b"x")
    assert "was changed" in found()["papers"][0]


@pytest.mark.parametrize(("changes", "words"), [
    ({"state": {}}, "another state"), ({"entries": []}, "another state"), ({"entries": ["x"]}, "cannot be read"),
    ({"template": None}, "cannot be read"),
])
def test_a_paper_whose_state_does_not_follow_from_its_entries_is_found(busy, tamper, settings, changes, words):
    """As if the server had printed it so: hash, row and leaf are those of this paper."""
    sha256 = busy.app.extensions["witnessmark_papers"].keep(busy.pdf(**changes))
    tamper(("UPDATE papers SET sha256 = ?", (sha256,)))
    assert any(words in finding for finding in found()["papers"])


def test_the_audit_of_a_restored_backup_says_what_the_phones_saw(busy, tamper):
    """The log was cut back to where it was before, consistently: only the phone's checkpoint tells."""
    maria = busy.maria
    hire("ivo", "inspector")
    maria.phone.checkpoint = log.checkpoint()
    entry = maria.passes(busy.card, "surface", note="later")
    size = log.size() - 1
    tamper(f"DELETE FROM log WHERE number > {size}",
           f"DELETE FROM nodes WHERE (position + 1) * (1 << level) > {size}",
           "DELETE FROM people WHERE login = 'ivo'")
    shop.new_epoch()
    maria.send(entry)
    assert list(found()) == ["checkpoints"]


def test_the_command_prints_a_line_for_each_kind_and_exits_with_1_when_something_is_wrong(busy, settings, monkeypatch):
    monkeypatch.setattr("witnessmark.cli_audit.attached_record", read)
    (settings.data / data_folder.MARKER).write_text(data_folder.KINDS["shop"], encoding="utf-8")
    whole = CliRunner().invoke(main, ["audit", "--data", str(settings.data)])
    assert (whole.exit_code, len(whole.output.splitlines())) == (0, len(KINDS)), whole.output
    assert "signatures            8 checked, 0 wrong" in whole.output
    with busy.app.app_context():
        busy.maria.send(busy.maria.phone.make(busy.maria.facts, busy.card, "result", "boom",
                                              busy.surface["payload"]["body"], sequence=60, previous="a" * 64))
    wrong = CliRunner().invoke(main, ["audit", "--data", str(settings.data)])
    assert wrong.exit_code == 1
    assert "chain                 9 checked, 1 wrong\n    Phone " in wrong.output


def test_the_record_in_a_paper_as_the_office_makes_it_is_read(app, card):
    with app.app_context():
        maria, ines = Member("maria"), Member("ines")
        made = [maria.passes(card, name) for name in ("surface", "grip", "bolts", "boom")]
        made.append(ines.phone.countersign(ines.facts, card, "grip", [made[1]["id"]]))
        assert ines.send(*made, ines.phone.release(ines.facts, card, TEMPLATE, made)) == [("kept", None)] * 6
    assert app.extensions["witnessmark_office"].make_due_papers() == []
    with app.app_context():
        told = list(audit(attached_record))
        assert [line.findings for line in told] == [[]] * len(KINDS)
        assert dict((line.kind, line.checked) for line in told)["papers"] == 1


def test_a_file_without_a_record_is_no_paper():
    with pytest.raises(ValueError, match="no record"):
        attached_record(b"%PDF-1.7 nothing")


def test_everything_that_happened_in_the_busy_shop_is_a_leaf(busy):
    assert {leaf["kind"] for leaf in leaves()} == {
        "entry", "card", "key", "key_ended", "person", "local_code", "refused", "resolved", "paper", "vouched"}
