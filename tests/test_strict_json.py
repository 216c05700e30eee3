"""Hostile requests get a sentence and a 4xx, never a 500, whatever the route."""

import json

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from cast import Browser
from witnessmark.rules.entry import entry_text
from witnessmark.rules.signature import ENTRY_TYP

ROUTES = ["/api/session", "/api/cards", "/api/sync", "/api/photos/lacking", "/api/cards/{card}/reconcile"]
HOSTILE = {
    "empty": b"", "not JSON": b"{", "not text": b'{"a": "\xff"}', "two values": b"{} {}", "a BOM": b"\xef\xbb\xbf{}",
    "a name twice": b'{"epoch": null, "epoch": null, "after": 0, "entries": [], "check": [], "size": 0}',
    "a name twice inside": b'{"photos": [{"a": 1, "a": 2}]}',
    "NaN": b'{"after": NaN}', "Infinity": b'{"after": -Infinity}', "1e999": b'{"after": 1e999}',
    "a fraction": b'{"after": 0.5}', "beyond 2^53": b'{"after": 9007199254740993}',
    "5000 digits": b'{"after": ' + b"9" * 5000 + b"}", "a lone surrogate": b'{"login": "\\ud800"}',
    "a NUL": b'{"login": "a\\u0000b", "password": "x", "device_key": "' + b"d" * 64 + b'"}',
    "deep lists": b"[" * 100000 + b"]" * 100000, "deep objects": b'{"a":' * 50000 + b"1" + b"}" * 50000,
    "many values": b'{"photos": [' + b"0," * 30000 + b"0]}", "a list": b"[]", "a text": b'"text"', "null": b"null",
    "a number": b"7", "true": b"true", "too large": b'{"a": "' + b"x" * 5 * 2**20 + b'"}',
    "a member nobody knows": b'{"photos": [], "admin": true}', "proto": b'{"__proto__": {"roles": ["inspector"]}}',
}


@pytest.mark.parametrize("why", HOSTILE)
def test_a_hostile_body_is_refused_with_a_sentence(app, card, why):
    maria = Browser(app).sign_in("maria")
    for route in ROUTES:
        answer = maria.ask("POST", route.format(card=card["card"]), HOSTILE[why])
        assert 400 <= answer.status_code < 500, (route, answer.json)
        assert answer.json["problem"]["sentence"].endswith((".", "?")), answer.json


def test_the_sentence_names_what_is_wrong(app, card):
    maria = Browser(app).sign_in("maria")
    body = {"epoch": None, "after": -1, "entries": [], "check": [], "size": 0}
    problem = maria.ask("POST", "/api/sync", body).json["problem"]
    assert (problem["code"], problem["fields"]["at"]) == ("request_shape", "json.after")
    problem = maria.ask("POST", "/api/sync", b'{"epoch":1,"epoch":2}').json["problem"]
    assert problem["sentence"].startswith('The data names "epoch" twice')


VALUES = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=40),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner, max_size=4), max_leaves=20)
KNOWN = st.sampled_from(["login", "password", "device_key", "epoch", "after", "entries", "check", "photos", "ids",
                         "revision", "registration", "times", "airframe", "value", "unit"])


@settings(max_examples=60, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(body=st.dictionaries(KNOWN | st.text(max_size=8), VALUES, max_size=6) | VALUES, route=st.sampled_from(ROUTES))
def test_no_json_at_all_makes_the_server_fail(app, card, body, route):
    maria = app.extensions.setdefault("maria", None) or Browser(app).sign_in("maria")
    app.extensions["maria"] = maria
    answer = maria.ask("POST", route.format(card=card["card"]), json.dumps(body).encode())
    assert answer.status_code < 500, answer.json


@settings(max_examples=60, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(texts=st.lists(st.text(max_size=60) | VALUES.map(json.dumps), max_size=5))
def test_no_entry_at_all_makes_the_server_fail(app, card, texts):
    maria = app.extensions.setdefault("maria", None) or Browser(app).sign_in("maria")
    app.extensions["maria"] = maria
    body = {"epoch": None, "after": 0, "entries": texts, "check": [], "size": 0}
    answer = maria.ask("POST", "/api/sync", json.dumps(body).encode())
    assert answer.status_code == 200, answer.json
    assert {one["verdict"] for one in answer.json["answers"]} <= {"refused"}


@settings(max_examples=80, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_no_change_to_an_entry_is_taken_in(app, card, data):
    """Any one member replaced by anything: refused, or the very same entry."""
    maria = app.extensions.setdefault("maria", None) or Browser(app).sign_in("maria")
    app.extensions["maria"] = maria
    entry = maria.passes(card, "bolts")
    payload = dict(entry["payload"])
    place = data.draw(st.sampled_from(["v", "kind", "server", "card", "revision", "aircraft", "item", "author"]))
    payload[place] = data.draw(VALUES)
    said = json.dumps(payload, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    same = said == entry_text(entry["payload"])
    text = entry["text"] if same else maria.phone.key_of(maria.person["person"]).sign(ENTRY_TYP, said)
    answer = maria.ask("POST", "/api/sync", json.dumps(
        {"epoch": None, "after": 0, "entries": [text], "check": [], "size": 0}).encode())
    if answer.status_code == 200:
        (verdict,) = answer.json["answers"]
        assert (verdict["verdict"] == "refused") != same
    assert answer.status_code < 500


@pytest.mark.parametrize("headers", [
    {"Host": "["}, {"Host": "a b"}, {"Host": "localhost:99999999"}, {"Host": ""}, {"Host": "[::1"},
    {"Cookie": "sid=\xff\xfe"}, {"Cookie": "sid=" + "x" * 4000}, {"Cookie": ";;;="}, {"Origin": "http://[::1"},
    {"Content-Encoding": "br"}, {"Content-Encoding": "gzip, gzip"}, {"Content-Type": "application/json; charset=utf-7"},
    {"Content-Length": "-1"}, {"Accept-Encoding": "gzip;q=x, *;q=-"}, {"If-None-Match": "W/\"x"}])
def test_no_header_at_all_makes_the_server_fail(app, card, headers):
    maria = Browser(app).sign_in("maria")
    for method, path in (("POST", "/api/sync"), ("GET", "/api/session"), ("GET", "/app.js")):
        assert maria.ask(method, path, {}, **headers).status_code < 500
