"""Every route x every role: who may call is stated once, here again on purpose, and held."""

import pytest

from cast import PASSWORD, ROLES, Browser
from witnessmark.web import access

ALL = {"mechanic", "inspector", "author", "reader"}
NOBODY_NEEDED = ALL | {None}
SIGNED = {
    ("POST", "/api/session"): NOBODY_NEEDED,
    ("GET", "/api/session"): ALL,
    ("DELETE", "/api/session"): ALL,
    ("GET", "/api/aircraft"): ALL,
    ("GET", "/api/templates"): ALL,
    ("GET", "/api/revisions/<revision>"): ALL,
    ("POST", "/api/cards"): {"mechanic", "inspector", "author"},
    ("GET", "/api/cards/<card>"): ALL,
    ("GET", "/api/cards/<card>/paper"): ALL,
    ("POST", "/api/cards/<card>/reconcile"): ALL,
    ("POST", "/api/sync"): ALL,
    ("POST", "/api/photos/lacking"): {"mechanic", "inspector"},
    ("PUT", "/api/photos/<sha256>"): {"mechanic", "inspector"},
    ("GET", "/api/photos/<sha256>"): ALL,
    ("GET", "/api/photos/<sha256>/view"): ALL,
    ("POST", "/api/session/challenge"): NOBODY_NEEDED,
    ("POST", "/api/session/key"): NOBODY_NEEDED,
    ("POST", "/api/session/password"): ALL,
    ("POST", "/api/keys"): {"mechanic", "inspector"},
    ("POST", "/api/keys/<kid>/end"): {"mechanic", "inspector", "author"},
    ("GET", "/api/keys/waiting"): {"mechanic", "inspector"},
    ("POST", "/api/keys/<kid>/vouch"): {"mechanic", "inspector"},
    ("GET", "/api/phone"): ALL,
    ("GET", "/api/people"): {"author"},
    ("POST", "/api/people"): {"author"},
    ("PUT", "/api/people/<who>"): {"author"},
    ("POST", "/api/people/<who>/end"): {"author"},
    ("POST", "/api/people/<who>/password"): {"author"},
    ("GET", "/api/tools"): ALL,
    ("POST", "/api/tools"): {"author"},
    ("GET", "/api/local-codes"): ALL,
    ("GET", "/api/local-codes/<revision>"): ALL,
    ("POST", "/api/local-codes"): {"author"},
    ("PUT", "/api/shop/local-code"): {"author"},
    ("GET", "/api/quarantine"): {"mechanic", "inspector", "author"},
    ("POST", "/api/quarantine/<int:number>/set-aside"): {"inspector"},
    ("GET", "/api/log/checkpoint"): NOBODY_NEEDED,
    ("GET", "/api/log/consistency"): ALL,
    ("GET", "/api/log/entries/<entry>"): ALL,
    ("GET", "/api/health"): NOBODY_NEEDED,
    ("GET", "/api/shop"): NOBODY_NEEDED,
    ("GET", "/api/openapi.json"): NOBODY_NEEDED,
    ("GET", "/api/docs"): NOBODY_NEEDED,
    ("GET", "/"): NOBODY_NEEDED,
    ("GET", "/<path:path>"): NOBODY_NEEDED,
}


PLACES = {"<path:path>": "index.html", "<int:number>": "1", "<who>": "a" * 32, "<kid>": "a" * 43,
          "<revision>": "a" * 64, "<sha256>": "a" * 64, "<entry>": "a" * 64}


def address(rule, card):
    """A path of this rule, on the issued card where it names one and on nothing that exists elsewhere."""
    for place, value in {**PLACES, "<card>": card["card"]}.items():
        rule = rule.replace(place, value)
    return rule


def routes(app):
    return {(method, rule.rule) for rule in app.url_map.iter_rules() for method in rule.methods - {"HEAD", "OPTIONS"}}


def test_this_table_names_every_route_and_no_other(app):
    assert routes(app) == set(SIGNED)


@pytest.mark.parametrize("role", [*sorted(ALL), None])
def test_who_may_call_what(app, card, role):
    for method, rule in SIGNED:
        asker = Browser(app)
        if role:
            asker.sign_in(ROLES[role])
        status = asker.ask(method, address(rule, card), {}).status_code
        refused = 403 if role else 401
        assert (status == refused) == (role not in SIGNED[method, rule]), (method, rule, status)
        assert status < 500


@pytest.mark.parametrize("days", [{"from": "2099-01-01", "until": None}, {"from": None, "until": "2001-01-01"}])
def test_whose_authority_does_not_hold_today_can_still_send_but_do_nothing(app, card, days):
    """What a phone holds must not be locked on it; each entry is judged by the authority of its author."""
    noor, maria = Browser(app).sign_in("noor"), Browser(app).sign_in("maria")
    who = maria.person
    facts = {"name": who["name"], "certificate": who["certificate"], "authorities": [{"role": "mechanic", **days}]}
    changed = noor.ask("PUT", f"/api/people/{who['person']}", facts, **{"Content-Type": "application/json"})
    assert changed.status_code == 200
    assert maria.ask("GET", "/api/session").json["person"]["roles"] == []
    assert maria.send(maria.passes(card, "surface")) == [("refused", "not_allowed")]
    for (method, rule), roles in SIGNED.items():
        if roles not in (ALL, NOBODY_NEEDED):
            assert maria.ask(method, address(rule, card), {}).status_code == 403, rule


def test_a_route_that_does_not_say_who_may_call_is_never_served(app):
    app.view_functions["forgotten"] = lambda: "secret"
    with pytest.raises(RuntimeError, match="forgotten"):
        access.register(app)


FOREIGN = [
    {"Sec-Fetch-Site": "cross-site"}, {"Sec-Fetch-Site": "same-site"}, {"Sec-Fetch-Site": "none"},
    {"Origin": "http://evil.example"}, {"Origin": "null"}, {"Origin": "http://localhost:81"},
    {"Sec-Fetch-Site": "same-origin", "Origin": "http://evil.example"}, {"Origin": "http://localhost.evil.example"},
    {"Origin": "http://evil.example/http://localhost"}, {"Origin": "http://localhost@evil.example"},
    {"Origin": "http://["}, {"Origin": ""}, {"Sec-Fetch-Site": ""}, {"Sec-Fetch-Site": "same-origin, cross-site"}]


@pytest.mark.parametrize("headers", FOREIGN)
def test_another_site_can_make_nobodys_browser_do_anything(app, card, headers):
    maria = Browser(app).sign_in("maria")
    unsafe = [key for key in sorted(SIGNED) if key[0] != "GET"]
    assert len(unsafe) == 21
    for method, path in unsafe:
        path = address(path, card)
        told = {"X-Witnessmark": "1", "Content-Type": "application/json", **headers}
        answer = maria.client.open(path, method=method, data=b"{}", headers=told)
        assert (answer.status_code, answer.json["problem"]["code"]) == (403, "request_foreign"), path
    assert maria.ask("GET", "/api/session").status_code == 200


@pytest.mark.parametrize(("headers", "code"), [
    ({}, "request_foreign"),
    ({"Sec-Fetch-Site": "same-origin"}, "request_header"),
    ({"Sec-Fetch-Site": "same-origin", "X-Witnessmark": "yes"}, "request_header"),
    ({"Origin": "http://localhost"}, "request_header")])
def test_a_request_without_our_own_marks_is_refused(app, card, headers, code):
    maria = Browser(app).sign_in("maria")
    answer = maria.client.delete("/api/session", headers=headers)
    assert answer.json["problem"]["code"] == code


def test_origin_alone_is_enough_in_a_browser_without_fetch_metadata(app, card):
    maria = Browser(app).sign_in("maria")
    answer = maria.client.delete("/api/session", headers={"Origin": "http://localhost", "X-Witnessmark": "1"})
    assert answer.status_code == 204


@pytest.mark.parametrize("kind", ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data", ""])
def test_a_body_that_a_form_could_send_is_refused(app, card, kind):
    maria = Browser(app).sign_in("maria")
    answer = maria.ask("POST", "/api/photos/lacking", b'{"photos": []}', **{"Content-Type": kind})
    assert answer.status_code == 415


@pytest.mark.parametrize("host", ["evil.example", "localhost.evil.example", "localhost@evil.example", "evil.example:80",
                                  "shop.example.evil.example", "127.0.0.1.evil.example", "2130706433", "[::1", "a b"])
def test_a_stranger_who_points_their_name_at_this_server_gets_nothing(app, card, host):
    """DNS rebinding: their page would be of the same origin, so Fetch Metadata and Origin would let it in."""
    same = {"Host": host, "Origin": f"http://{host}", "Sec-Fetch-Site": "same-origin"}
    maria = Browser(app)
    told = {"login": "maria", "password": PASSWORD, "device_key": maria.key}
    answers = [maria.ask("POST", "/api/session", told, **same)]
    answers += [maria.ask("GET", path, **same) for path in ("/", "/app.js", "/nowhere", "/api/health")]
    for answer in answers:
        assert (answer.status_code, answer.json["problem"]["code"]) == (421, "host_unknown")
        assert "Content-Security-Policy" in answer.headers
    assert "Set-Cookie" not in answers[0].headers


@pytest.mark.parametrize("host", ["localhost", "LOCALHOST:8417", "localhost.", "127.0.0.1:8417", "[::1]:8417",
                                  "192.0.2.7", "shop.example", "Shop.Example:443"])
def test_the_server_answers_to_its_own_names_and_to_addresses(app, host):
    assert Browser(app).ask("GET", "/api/health", Host=host).status_code == 200
