"""What every answer carries, the client files, and the API's description of itself."""

import gzip
import hashlib
import json
import re

import pytest

from cast import Browser, jpeg

# security.md 2.4, proved in Chromium with Lit by the browser tests; written out again here on purpose.
POLICY = ("default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; font-src 'self'; "
          "connect-src 'self'; manifest-src 'self'; worker-src 'self'; base-uri 'none'; form-action 'none'; "
          "frame-ancestors 'none'; require-trusted-types-for 'script'; trusted-types lit-html sw")
IMPORT = re.compile(r"""^(?:import|export)\b[^;]*?["'](\.{1,2}/[^"']+)["'];""", re.M)


@pytest.fixture
def visitor(app, card):
    """A browser in which nobody is signed in."""
    return Browser(app)


def test_the_headers_are_on_every_answer(app, card, visitor, monkeypatch):
    maria = Browser(app).sign_in("maria")
    data, sha256 = jpeg()
    maria.ask("PUT", f"/api/photos/{sha256}?offset=0&bytes={len(data)}", data)
    etag = visitor.client.get("/app.js").headers["ETag"]
    answers = [visitor.client.get(path) for path in ("/", "/app.js", "/nowhere", "/api/docs", "/api/aircraft")]
    answers += [visitor.client.get("/app.js", headers={"If-None-Match": etag}), visitor.client.post("/"),
                visitor.client.options("/"), maria.ask("POST", "/api/sync", b"{"),
                maria.ask("GET", f"/api/photos/{sha256}/view"), visitor.client.head("/")]
    monkeypatch.setattr("witnessmark.web.cards.cards.all_aircraft", lambda: 1 / 0)
    answers.append(maria.ask("GET", "/api/aircraft"))
    assert {answer.status_code for answer in answers} == {200, 304, 400, 401, 404, 405, 500}
    for answer in answers:
        photo = answer.headers.get("Content-Type") == "image/jpeg"
        wanted = "sandbox; default-src 'none'" if photo else POLICY
        assert answer.headers["Content-Security-Policy"] == wanted
        assert answer.headers["X-Content-Type-Options"] == "nosniff"
        assert answer.headers["Referrer-Policy"] == "no-referrer"
        assert answer.headers["Cross-Origin-Opener-Policy"] == "same-origin"
        assert answer.headers["Cross-Origin-Resource-Policy"] == "same-origin"
        assert answer.headers["Permissions-Policy"].startswith("camera=(self)")
        assert "Access-Control-Allow-Origin" not in answer.headers


def test_https_is_asked_for_again_only_over_https(visitor):
    assert "Strict-Transport-Security" not in visitor.client.get("/").headers
    told = visitor.client.get("/", base_url="https://localhost").headers["Strict-Transport-Security"]
    assert int(re.search(r"max-age=(\d+)", told)[1]) >= 31536000


def test_no_answer_of_the_api_is_kept_by_the_browser(app, card, visitor):
    maria = Browser(app).sign_in("maria")
    for path in ("/api/session", "/api/aircraft", f"/api/cards/{card['card']}", "/api/nowhere", "/api/health"):
        assert maria.ask("GET", path).headers["Cache-Control"] == "no-store", path
    for method, path in (("GET", "/nowhere"), ("POST", "/app.js"), ("GET", "/API/session")):
        assert maria.ask(method, path).headers["Cache-Control"] == "no-store", path
    revision = maria.ask("GET", f"/api/revisions/{card['revision']}").headers["Cache-Control"]
    assert "immutable" in revision and "private" in revision


def test_a_failure_says_so_without_its_insides(app, card, monkeypatch, caplog):
    maria = Browser(app).sign_in("maria")
    monkeypatch.setattr("witnessmark.web.cards.cards.all_aircraft", lambda: {}["secret_key_name"])
    answer = maria.ask("GET", "/api/aircraft")
    assert (answer.status_code, answer.json["problem"]["code"]) == (500, "server_failed")
    assert "secret_key_name" not in answer.text
    assert answer.json["problem"]["fields"]["report"] in caplog.text and "secret_key_name" in caplog.text


def test_the_shell_list_names_every_file_by_its_hash(visitor):
    listed = visitor.client.get("/shell-manifest.json").json
    assert len(listed["version"]) == 64
    urls = [file["url"] for file in listed["files"]]
    assert {"./index.html", "./app.js", "./app.css", "./rules/card_state.js", "./vendor/lit.js"} <= set(urls)
    assert not {"./service_worker.js", "./shell-manifest.json"} & set(urls)
    assert not [url for url in urls if url.endswith((".md", ".txt"))]
    for file in listed["files"]:
        data = visitor.client.get(file["url"][1:]).data
        assert (len(data), hashlib.sha256(data).hexdigest()) == (file["bytes"], file["sha256"]), file


def test_every_part_that_a_page_or_module_imports_is_in_the_shell(root, visitor):
    listed = {file["url"][2:] for file in visitor.client.get("/shell-manifest.json").json["files"]}
    for path in sorted((root / "client").rglob("*.js")):
        if "vendor" in path.parts:
            continue
        for name in IMPORT.findall(path.read_text("utf-8")):
            target = (path.parent / name).resolve().relative_to((root / "client").resolve()).as_posix()
            assert target in listed, f"{path.name} imports {name}"


def test_the_service_worker_is_asked_for_anew_and_carries_its_version(root, visitor):
    answer = visitor.client.get("/service_worker.js")
    version = visitor.client.get("/shell-manifest.json").json["version"]
    assert answer.headers["Cache-Control"] == "no-cache"
    assert answer.headers["Content-Type"].startswith("text/javascript")
    first, rest = answer.text.split("\n", 1)
    assert first == f'const VERSION = "{version}";'
    assert rest == (root / "client" / "service_worker.js").read_text("utf-8")


def test_an_unchanged_file_is_not_sent_again(visitor):
    first = visitor.client.get("/app.js")
    again = visitor.client.get("/app.js", headers={"If-None-Match": first.headers["ETag"]})
    assert (again.status_code, again.data) == (304, b"")


def test_text_is_packed_for_those_who_take_it(visitor):
    plain = visitor.client.get("/app.css")
    packed = visitor.client.get("/app.css", headers={"Accept-Encoding": "gzip, br"})
    refused = visitor.client.get("/app.css", headers={"Accept-Encoding": "gzip;q=0"})
    assert gzip.decompress(packed.data) == plain.data == refused.data
    assert "Accept-Encoding" in packed.headers["Vary"] and "Accept-Encoding" in plain.headers["Vary"]
    assert packed.headers["Content-Encoding"] == "gzip" and "Content-Encoding" not in plain.headers
    font = visitor.client.get("/vendor/b612-latin-400-normal.woff2", headers={"Accept-Encoding": "gzip"})
    assert "Content-Encoding" not in font.headers and font.headers["Content-Type"] == "font/woff2"


@pytest.mark.parametrize("path", [
    "/../pyproject.toml", "/%2e%2e/pyproject.toml", "/..%2fpyproject.toml", "//etc/passwd", "/.git/config",
    "/device/README.md", "/rules/../../README.md", "/static/x", "/%00", "/rules", "/rules/"])
def test_nothing_but_the_client_files_is_served(visitor, path):
    assert visitor.client.get(path).status_code in (308, 404, 421)


def test_the_description_is_openapi_3_1_and_names_every_route_of_the_api(app, visitor):
    told = visitor.client.get("/api/openapi.json").json
    assert told == visitor.client.get("/api/openapi.json").json
    assert told["openapi"] == "3.1.0"
    described = {(method.upper(), path) for path, operations in told["paths"].items() for method in operations
                 if method in ("get", "post", "put", "delete")}
    served = {(method, re.sub(r"<(?:\w+:)?(\w+)>", r"{\1}", rule.rule)) for rule in app.url_map.iter_rules()
              for method in rule.methods - {"HEAD", "OPTIONS"} if rule.rule.startswith("/api/")}
    assert described == served - {("GET", "/api/openapi.json"), ("GET", "/api/docs")}
    for path, operations in told["paths"].items():
        for method in set(operations) & {"get", "post", "put", "delete"}:
            operation = operations[method]
            assert operation["summary"] and operation["x-may-call"] and operation["responses"], (method, path)
            assert operation["responses"]["default"], (method, path)
            assert bool(operation["security"]) == ("anyone" not in operation["x-may-call"]), (method, path)
            own = [one for one in operation.get("parameters", []) if one["name"] == "X-Witnessmark"]
            assert len(own) == (method != "get"), (method, path)


def test_the_description_says_what_a_body_must_be(visitor):
    paths = visitor.client.get("/api/openapi.json").json["paths"]
    put = paths["/api/photos/{sha256}"]["put"]
    assert list(put["requestBody"]["content"]) == ["application/octet-stream"]
    assert {one["name"] for one in put["parameters"] if one["in"] == "query"} == {"offset", "bytes"}
    assert list(paths["/api/sync"]["post"]["requestBody"]["content"]) == ["application/json"]


def test_every_reference_in_the_description_leads_somewhere(visitor):
    told = visitor.client.get("/api/openapi.json").json
    references = re.findall(r'"\$ref": "#/([^"]+)"', json.dumps(told))
    assert len(references) > 20
    for reference in references:
        found = told
        for name in reference.split("/"):
            found = found[name]


def test_the_page_of_the_api_asks_for_nothing_from_elsewhere(visitor):
    page = visitor.client.get("/api/docs").text
    assert "/api/sync" in page and "mechanic, inspector, author, reader" in page
    links = re.findall(r"""(?:src|href|action)\s*=\s*["']([^"']+)""", page)
    assert links and all(link.startswith("/") and not link.startswith("//") for link in links)
    assert "<script" not in page and "style=" not in page


def test_a_sign_of_life(visitor):
    assert visitor.client.get("/api/health").json == {"status": "ok"}


def test_other_methods_are_refused_with_a_sentence(app, card):
    maria = Browser(app).sign_in("maria")
    for method, path in (("DELETE", "/api/sync"), ("PATCH", "/api/session"), ("POST", "/nowhere"), ("PUT", "/")):
        answer = maria.ask(method, path, {})
        assert (answer.status_code, answer.json["problem"]["code"]) == (405, "method_refused")
        assert answer.headers["Allow"]
