"""How the project is built: who may import whom, twins, routes, sizes. Held by reading the code, not by promises."""

import ast
import json
import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
PACKAGE = ROOT / "server" / "witnessmark"
CLIENT = ROOT / "client"
PYTHON_RULES = sorted(path for path in (PACKAGE / "rules").glob("*.py") if path.stem != "__init__")
JAVASCRIPT_RULES = sorted((CLIENT / "rules").glob("*.js"))
SERVER_ONLY = {
    "card_template": "templates are read and judged when an author loads them; a phone gets the finished JSON",
    "template_field": "the fields of the same",
    "template_measuring": "the members of a field that say how its values are judged",
    "template_sense": "members of a field that contradict each other",
    "template_item": "what a card and its items say of the inspection they belong to",
    "coverage": "a set of cards is held to the duties of an inspection before it is issued",
    "template_overruled": "the advice that an author overrules",
    "template_place": "where in the file, and what is wrong there",
    "template_text": "the YAML side of the same",
    "acceptance": "what only the server can know: who holds which authority at receipt",
    "merkle_tree": "a phone only checks the proofs that the server makes",
    "strict_json": "the phone refuses bad text by comparing it with its own canonical form",
}
TABLES = {"measuring_sentences", "lint_words"}  # no function in them: compared whole by test_vectors and test_lint
TOP_LEVEL = {
    "README.md", "DEVELOPERS.md", "pyproject.toml", "server", "client", "checklists", "tests", "demo_data", "LICENSE",
}  # fmt: skip
MAY_IMPORT = {
    "rules": {"rules"},
    "records": {"records", "rules", "config", "data_folder"},
    "pdf": {"pdf", "records", "rules", "config"},
    "web": {"web", "pdf", "records", "rules", "config"},
}
EDGES = {"os", "pathlib", "io", "shutil", "tempfile", "subprocess", "socket", "sqlite3", "time", "random", "secrets",
         "urllib", "http", "threading", "logging"}  # fmt: skip
HTTP = {"flask", "flask_smorest", "werkzeug", "marshmallow", "webargs", "http", "granian"}
DATABASE = {"sqlalchemy", "flask_sqlalchemy", "alembic", "pysqlite3", "sqlite3"}
ROLES = {"mechanic", "inspector", "author", "reader"}


def tracked():
    listed = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    return [ROOT / name for name in listed.split("\0") if name and (ROOT / name).exists()]


def own_code(*endings):
    return [path for path in tracked() if path.suffix in endings and "vendor" not in path.parts]


def imports(path):
    """Every (module, names) a Python file imports, at the top or inside a function, as absolute dotted names."""
    package = path.relative_to(ROOT / "server").with_suffix("").parts[:-1]
    found = []
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found += [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            base = ".".join(package[: len(package) - node.level + 1]) if node.level else ""
            module = ".".join(part for part in (base, node.module or "") if part)
            found += [f"{module}.{alias.name}" for alias in node.names]
    return found


def python_names(path):
    kinds = (ast.FunctionDef, ast.AsyncFunctionDef)
    body = ast.parse(path.read_text(encoding="utf-8")).body
    return {node.name for node in body if isinstance(node, kinds) and not node.name.startswith("_")}


def javascript_names(path):
    text = path.read_text(encoding="utf-8")
    return set(re.findall(r"^export (?:async )?function (\w+)", text, re.MULTILINE))


def test_the_lists_the_other_tests_walk_are_not_empty():
    assert len(PYTHON_RULES) >= 10 and len(JAVASCRIPT_RULES) >= 10
    for folder in MAY_IMPORT:
        assert len(list((PACKAGE / folder).glob("*.py"))) >= 3, f"{folder}/ has nothing in it yet"
    for folder in ("device", "screens", "parts"):
        assert len(list((CLIENT / folder).glob("*.js"))) >= 3, f"client/{folder}/ has nothing in it yet"


@pytest.mark.parametrize("path", PYTHON_RULES, ids=lambda path: path.stem)
def test_a_rule_knows_no_edge(path):
    for name in imports(path):
        top = name.split(".")[0]
        if top == "ruamel":
            assert path.stem in {"template_text"}, f"{path.stem} must not read YAML"
        elif top == "cryptography":
            assert path.stem in {"signature", "signed_note"}, f"{path.stem} must not verify signatures"
        elif top == "witnessmark":
            assert name.startswith("witnessmark.rules."), f"{path.stem} imports {name}"
        else:
            assert top in sys.stdlib_module_names - EDGES, f"{path.stem} imports {name}"
    assert not re.search(r"(?<![\w.])(open|print|input)\(", path.read_text(encoding="utf-8"))


@pytest.mark.parametrize("folder", MAY_IMPORT)
def test_imports_follow_the_arrows(folder):
    for path in (PACKAGE / folder).rglob("*.py"):
        for name in imports(path):
            parts = name.split(".")
            if parts[0] == "witnessmark":
                assert parts[1] in MAY_IMPORT[folder], f"{path.relative_to(ROOT)} imports {name}"


def test_only_web_knows_http_and_only_records_the_database():
    for folder in MAY_IMPORT:
        for path in (PACKAGE / folder).rglob("*.py"):
            # The app at hand is how records find their own folders; it is not HTTP.
            tops = {name.split(".")[0] for name in imports(path) if name != "flask.current_app"}
            assert folder == "web" or not tops & HTTP, f"{path.relative_to(ROOT)} imports {sorted(tops & HTTP)}"
            assert folder == "records" or not tops & DATABASE, f"{path.relative_to(ROOT)} imports {tops & DATABASE}"


@pytest.mark.parametrize("path", JAVASCRIPT_RULES, ids=lambda path: path.stem)
def test_a_rule_on_the_phone_imports_only_its_siblings(path):
    text = path.read_text(encoding="utf-8")
    assert not re.search(r"\bimport\s*\(", text), "a rule loads nothing later"
    sources = re.findall(r"^(?:import|export)\b[^;]*?\bfrom\s*[\"']([^\"']+)", text, re.MULTILINE)
    sources += re.findall(r"^import\s*[\"']([^\"']+)", text, re.MULTILINE)
    assert all(re.fullmatch(r"\./[a-z_0-9]+\.js", source) for source in sources), sources
    edges = re.findall(r"\b(?:document|indexedDB|localStorage|navigator|fetch|Date|setTimeout|random)\s*[.(]", text)
    assert not edges, f"{path.stem} touches {edges}"


@pytest.mark.parametrize(("folder", "forbidden"), [("device", ("screens", "parts")), ("parts", ("screens",))])
def test_the_phones_folders_import_downwards(folder, forbidden):
    for path in (CLIENT / folder).glob("*.js"):
        for source in re.findall(r"\bfrom\s*[\"']([^\"']+)", path.read_text(encoding="utf-8")):
            assert source.startswith("."), f"{path.name} imports {source}: only relative files work without a build"
            assert not any(f"/{name}/" in source for name in forbidden), f"{path.name} imports {source}"


def test_every_rule_has_its_twin():
    python, javascript = ({path.stem for path in rules} for rules in (PYTHON_RULES, JAVASCRIPT_RULES))
    assert python - javascript == set(SERVER_ONLY)
    assert javascript <= python


@pytest.mark.parametrize("path", JAVASCRIPT_RULES, ids=lambda path: path.stem)
def test_twins_have_the_same_functions(path):
    assert javascript_names(path) == python_names(PACKAGE / "rules" / f"{path.stem}.py")


@pytest.mark.parametrize("path", [path for path in JAVASCRIPT_RULES if path.stem not in TABLES],
                         ids=lambda path: path.stem)
def test_every_twin_has_vectors_that_say_why(path):
    vectors = json.loads((ROOT / "tests" / "vectors" / f"{path.stem}.json").read_text(encoding="utf-8"))
    assert vectors["cases"]
    assert all(case["why"].strip() for case in vectors["cases"])
    assert {case["function"] for case in vectors["cases"]} <= javascript_names(path)


def test_every_route_of_the_api_says_who_may_call_it(app):
    routes = [rule for rule in app.url_map.iter_rules() if rule.rule.startswith("/api")]
    assert len(routes) >= 15
    for rule in routes:
        for method in rule.methods - {"HEAD", "OPTIONS"}:
            allowed = may_call(app.view_functions[rule.endpoint], method)
            assert allowed, f"{method} {rule.rule} does not say who may call it"
            assert allowed == ("anyone",) or set(allowed) <= ROLES, f"{method} {rule.rule}: {allowed}"


def may_call(view, method):
    of_class = getattr(getattr(view, "view_class", None), method.lower(), None)
    return getattr(of_class or view, "may_call", None)


def test_no_file_is_longer_than_250_lines():
    for path in own_code(".py", ".js", ".css", ".html"):
        if path.parts[len(ROOT.parts)] in {"server", "client"}:
            lines = len(path.read_text(encoding="utf-8").splitlines())
            assert lines <= 250, f"{path.relative_to(ROOT)} has {lines} lines: split it"


def test_no_two_test_modules_have_the_same_name():
    """pytest keeps modules by their name alone: of two, it would run one."""
    names = [path.name for path in own_code(".py") if path.name.startswith("test_")]
    assert len(names) == len(set(names)) > 50


def test_the_top_level_is_fixed():
    top = {path.relative_to(ROOT).parts[0] for path in tracked()}
    assert {name for name in top if not name.startswith(".")} == TOP_LEVEL


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (r"(?<![\w.])/(work|tmp|root|home)/", "a path of somebody's machine"),
        (r"pypi\.org|pythonhosted\.org|npmjs\.org|unpkg\.com|debian\.org/debian", "the host of a package registry"),
        (r"\bTO[D]O\b|\bFIX[M]E\b", "work left undone"),
    ],
)
def test_files_are_free_of(words, why):
    for path in own_code(".py", ".js", ".css", ".html", ".md", ".yaml", ".json", ".toml"):
        found = re.search(words, path.read_text(encoding="utf-8"), re.MULTILINE) if path != Path(__file__) else None
        assert not found, f"{path.relative_to(ROOT)}: {found[0].strip()!r} is {why}"


def test_no_except_hides_every_mistake():
    for path in own_code(".py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ExceptHandler):
                caught = re.findall(r"\w+", ast.unparse(node.type) if node.type else "Exception")
                hides = {"Exception", "BaseException"} & set(caught) and not isinstance(node.body[-1], ast.Raise)
                assert not hides, f"{path.relative_to(ROOT)}:{node.lineno}"


def test_the_phone_writes_no_traces():
    for path in own_code(".js"):
        assert CLIENT not in path.parents or "console." not in path.read_text(encoding="utf-8"), path.name


def test_the_first_page_names_every_module_of_the_app_so_that_they_load_at_once():
    """A module named in none of the preloads is found only after its importer has arrived, a round trip later."""
    importing = re.compile(r"""^(?:import|export)\b[^;]*?["'](\.{1,2}/[^"']+)["'];""", re.MULTILINE)
    graph, found = [CLIENT / "app.js"], set()
    while graph:
        path = graph.pop()
        for source in importing.findall(path.read_text("utf-8")):
            target = (path.parent / source).resolve()
            if target not in found:
                found.add(target)
                graph.append(target)
    wanted = sorted(f"./{path.relative_to(CLIENT).as_posix()}" for path in found)
    assert len(wanted) > 50
    named = re.findall(r'<link rel="modulepreload" href="([^"]+)">', (CLIENT / "index.html").read_text("utf-8"))
    assert named == wanted, "client/index.html: one modulepreload line for each of these, in this order"
