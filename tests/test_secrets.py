"""No secret of a person lies on the server: planted ones are searched for, in every encoding, in all that it keeps.

Canaries: the private half of the signing key, the signing code, and the passwords, old and new. eIDAS Art. 26(c): the
signature is made with data that the signatory alone controls.
"""

import base64
import hashlib
import json
import logging
import sqlite3

import pytest
from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat

from cast import CODE_REVISION, PASSWORD, TEMPLATE, jpeg, photo
from witnessmark.records import database
from witnessmark.records.database import db

SIGNING_CODE = "83514972604"
NEW_PASSWORD = "a canary sings in the hangar"
WRONG_PASSWORD = "a wrong canary sings as well"
JSON = {"Content-Type": "application/json"}


def encodings(name, data):
    """{what it is: the bytes to look for} of a secret."""
    wide = base64.b64encode(data).rstrip(b"=")
    return {f"{name}, as it is": data, f"{name}, hex": data.hex().encode(), f"{name}, HEX": data.hex().upper().encode(),
            f"{name}, base64": wide, f"{name}, base64url": wide.replace(b"+", b"-").replace(b"/", b"_"),
            f"{name}, hashed": hashlib.sha256(data).digest(),
            f"{name}, hashed, hex": hashlib.sha256(data).hexdigest().encode()}


def private_halves(key):
    """The secrets of a signing key: its number, its PKCS#8 and its PEM."""
    numbers = key._private.private_numbers()
    pkcs8 = key._private.private_bytes(Encoding.DER, PrivateFormat.PKCS8, NoEncryption())
    pem = key._private.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption()).splitlines()[1]
    return encodings("private number", numbers.private_value.to_bytes(32)) | encodings("PKCS#8", pkcs8) | {"PEM": pem}


def kept(folder):
    """Every byte that the server keeps: all files of its data folder, the write-ahead log among them."""
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in sorted(folder.rglob("*"))
            if path.is_file()}


def found(canaries, places):
    return [(what, where) for where, data in places.items() for what, secret in canaries.items() if secret in data]


def mistaken(browser, method, path, body):
    """A client that sends the code along by mistake, as a member and as a header."""
    for told in ({**body, "code": SIGNING_CODE}, {**body, "label": SIGNING_CODE, "private": SIGNING_CODE}):
        assert browser.ask(method, path, told, **JSON, **{"X-Code": SIGNING_CODE}).status_code == 422, path


@pytest.fixture
def worked(app, browser, card, caplog):
    """A day's work, with everything that a person types and holds: (browsers, log texts)."""
    caplog.set_level(logging.DEBUG)
    maria, ines, noor = browser("maria"), browser("ines"), browser("noor")
    data, sha256 = jpeg()
    made = [maria.passes(card, name) for name in ("surface", "grip", "bolts")]
    made.append(maria.passes(card, "boom", photos=[photo(data, sha256)]))
    maria.send(*made)
    maria.ask("PUT", f"/api/photos/{sha256}?offset=0&bytes={len(data)}", data)
    made.append(ines.phone.countersign(ines.person, card, "grip", [made[1]["id"]]))
    made.append(ines.phone.release(ines.person, card, TEMPLATE, made))
    assert {verdict for verdict, _ in ines.send(*made[4:])} == {"kept"}
    app.extensions["witnessmark_office"].make_due_papers()
    for login in ("maria", "nobody"):
        body = {"login": login, "password": WRONG_PASSWORD, "device_key": maria.key}
        assert maria.ask("POST", "/api/session", body).status_code == 401
    assert maria.ask("POST", "/api/session/password", {"old": PASSWORD, "new": NEW_PASSWORD}).status_code == 201
    told = {"password": NEW_PASSWORD, "why": "Lost."}
    assert noor.ask("POST", f"/api/people/{browser('tom').person['person']}/password", told).status_code == 200
    mistaken(maria, "POST", "/api/keys", maria.phone.enrolment(maria.person["person"]))
    mistaken(maria, "POST", "/api/session/challenge", {"kid": "a" * 43})
    mistaken(maria, "POST", "/api/session/key", {"proof": "a.b.c"})
    mistaken(maria, "POST", "/api/sync", {"epoch": None, "after": 0, "entries": [], "check": [], "size": 0})
    mistaken(noor, "PUT", "/api/shop/local-code", {"revision": CODE_REVISION})
    noor.ask("GET", f"/api/{SIGNING_CODE}")
    return {"maria": maria, "ines": ines}


def canaries_of(browsers):
    secrets = encodings("signing code", SIGNING_CODE.encode())
    for name, password in (("password", PASSWORD), ("new password", NEW_PASSWORD), ("wrong password", WRONG_PASSWORD)):
        secrets |= encodings(name, password.encode())
    for login, browser in browsers.items():
        secrets |= {f"{login}: {what}": secret for what, secret in private_halves(
            browser.phone.key_of(browser.person["person"])).items()}
        secrets |= {f"{login}'s phone secret, {what}": secret for what, secret in (
            ("as it is", browser.key.encode()), ("bytes", bytes.fromhex(browser.key)))}
        secrets[f"{login}'s session"] = browser.client.get_cookie("sid").value.encode()
    return secrets


def test_nothing_that_only_a_person_may_hold_is_kept(app, settings, worked, caplog, tmp_path):
    canaries = canaries_of(worked)
    with app.app_context():
        database.snapshot(tmp_path / "backup.sqlite3")
    backup = sqlite3.connect(tmp_path / "backup.sqlite3")
    places = kept(settings.data) | {"log": caplog.text.encode(), "dump": "\n".join(backup.iterdump()).encode()}
    assert {"witnessmark.sqlite3", "witnessmark.sqlite3-wal", "log-key.pem", "seal.p12"} <= set(places)
    assert [name for name in places if name.startswith("papers/")] and [name for name in places if "photos/" in name]
    assert found(canaries, places) == []


def test_the_search_finds_what_is_planted(app, settings, worked, caplog):
    """The negative control: the public half is everywhere, and a secret that is put there is found."""
    maria = worked["maria"]
    public = maria.phone.key_of(maria.person["person"]).jwk["x"].encode()
    assert found({"public": public}, kept(settings.data))
    canaries = canaries_of(worked)
    (settings.data / "planted.txt").write_bytes(b"..." + canaries["maria: private number, hex"] + b"...")
    logging.getLogger("witnessmark").warning("typed: %s", SIGNING_CODE)
    places = kept(settings.data) | {"log": caplog.text.encode()}
    assert {where for _, where in found(canaries, places)} == {"planted.txt", "log"}


def test_no_table_has_a_place_for_a_private_key_or_a_code(app):
    """A wrapped key on the server could be guessed at there; the phone alone keeps it."""
    with app.app_context():
        columns = {column.name for table in db.metadata.tables.values() for column in table.columns}
    assert "jwk" in columns
    assert not [name for name in columns if any(word in name for word in ("private", "secret", "wrap", "pin", "pkcs"))]


def test_every_kept_key_is_a_public_one_and_no_answer_holds_more(worked):
    told = worked["maria"].ask("GET", "/api/phone").json
    assert len(told["keys"]) >= 2
    for key in told["keys"]:
        assert set(key["jwk"]) == {"crv", "kty", "x", "y"}
    assert not [secret for secret in canaries_of(worked).values() if secret in json.dumps(told).encode()]
