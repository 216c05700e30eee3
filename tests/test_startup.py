"""Starting: the standard-library helper, the settings, the data folder, the port, the command's refusals."""

import ast
import runpy
import socket
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from witnessmark import data_folder, listening
from witnessmark.cli import main
from witnessmark.config import WrongSetting, bundled, read_settings
from witnessmark.plain_text import people_table

ROOT = Path(__file__).resolve().parents[1]
HELPERS = sorted((ROOT / "server").glob("*.py"))


@pytest.fixture
def helper(monkeypatch):
    """A module that lives beside server/__main__.py."""
    monkeypatch.syspath_prepend(str(ROOT / "server"))

    def load(name):
        return __import__(name)

    return load


@pytest.mark.parametrize("path", HELPERS, ids=lambda path: path.stem)
def test_the_helper_needs_only_the_standard_library(path):
    siblings = {other.stem for other in HELPERS}
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            assert {alias.name.split(".")[0] for alias in node.names} <= sys.stdlib_module_names | siblings
        elif isinstance(node, ast.ImportFrom):
            assert node.module.split(".")[0] in sys.stdlib_module_names


def test_without_a_word_it_explains_itself(tmp_path):
    command = [sys.executable, str(ROOT / "server")]
    done = subprocess.run(command, cwd=tmp_path, capture_output=True, text=True)
    assert (done.returncode, done.stderr) == (0, "")
    assert "python3 server demo" in done.stdout and "python3 server test" in done.stdout


def test_whoever_is_not_root_gets_the_one_command_to_run(helper, monkeypatch, capsys):
    packages = helper("system_packages")
    monkeypatch.setattr(packages.ctypes.util, "find_library", lambda name: None)
    monkeypatch.setattr(packages.shutil, "which", lambda name: "apt-get" if name == "apt-get" else None)
    monkeypatch.setattr(packages.os, "geteuid", lambda: 1000)
    with pytest.raises(SystemExit) as stopped:
        packages.see_to(testing=True)
    assert stopped.value.code == 2
    assert capsys.readouterr().err.splitlines()[-1].strip() == (
        "sudo apt-get update && sudo apt-get install -y --no-install-recommends "
        "libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz0b libharfbuzz-subset0 chromium "
        "webkit2gtk-driver xvfb poppler-utils nodejs"
    )


def test_the_demo_does_not_ask_for_what_only_tests_need(helper, monkeypatch):
    packages = helper("system_packages")
    monkeypatch.setattr(packages.shutil, "which", lambda name: None)
    monkeypatch.setattr(packages.ctypes.util, "find_library", lambda name: name)
    assert packages.see_to(testing=False) is None


def test_a_debian_python_without_its_venv_half_is_noticed(helper, monkeypatch):
    packages = helper("system_packages")
    monkeypatch.setattr(packages.importlib.util, "find_spec", lambda name: None)
    assert [package for package, _, _ in packages.lacking(packages.RUNNING)] == ["python3-venv"]


@pytest.mark.parametrize(("said", "enough"), [("v18.19.1", True), ("v18.12.0", False), ("v22.1.0", True), ("", False)])
def test_node_must_be_new_enough(said, enough, helper, monkeypatch):
    packages = helper("system_packages")
    monkeypatch.setattr(packages.shutil, "which", lambda name: name)
    answer = subprocess.CompletedProcess([], 0, stdout=said)
    monkeypatch.setattr(packages.subprocess, "run", lambda *words, **options: answer)
    assert packages.node_new_enough() is enough


def test_the_closing_count_is_read_from_the_reports(helper, tmp_path):
    tests = helper("run_tests")
    report = tmp_path / "report.xml"
    report.write_text('<testsuites><testsuite tests="9" failures="2" errors="1" skipped="1"/></testsuites>')
    assert tests.read_report(report) == {"passed": 5, "failed": 3, "skipped": 1}
    assert tests.read_report(tmp_path / "none.xml")["failed"] == 1


def test_a_failing_vector_in_node_fails_the_run(helper, tmp_path):
    (tmp_path / "tests").mkdir()
    (tmp_path / "tests" / "one.test.mjs").write_text(
        "import { test } from 'node:test'; test('good', () => {}); test('bad', () => { throw new Error('no'); });"
    )
    assert helper("run_tests").node(tmp_path) == {"passed": 1, "failed": 1, "skipped": 0}


def test_a_repository_without_tests_for_node_fails(helper, tmp_path):
    (tmp_path / "tests").mkdir()
    assert helper("run_tests").node(tmp_path) == {"failed": 1}


def test_the_environment_is_made_again_when_the_packages_change(helper, monkeypatch, tmp_path):
    start = runpy.run_path(str(ROOT / "server" / "__main__.py"))
    project = tmp_path / "pyproject.toml"
    monkeypatch.setitem(start["fingerprint"].__globals__, "ROOT", tmp_path)
    project.write_text("one")
    before = start["fingerprint"]()
    project.write_text("two")
    assert start["fingerprint"]() != before


def test_a_missing_compiler_is_named_when_pip_wanted_one(helper):
    start = runpy.run_path(str(ROOT / "server" / "__main__.py"))
    told = start["why_failed"]("Building wheel for pysqlite3 (pyproject.toml): error: command 'gcc' failed")
    assert "gcc python3-dev libsqlite3-dev" in told


def test_an_option_wins_over_the_environment_and_that_over_the_default(tmp_path):
    environment = {"WITNESSMARK_PORT": "9000", "WITNESSMARK_THREADS": "2", "HOME": "ignored"}
    settings = read_settings({"port": 9001, "data": tmp_path, "host": None}, environment)
    assert (settings.port, settings.threads, settings.host) == (9001, 2, "127.0.0.1")
    assert settings.database_url == f"sqlite:///{tmp_path}/witnessmark.sqlite3"


def test_more_names_of_the_server_are_read_with_or_without_spaces():
    assert read_settings({"hosts": "Shop.example, barn.example"}, {}).names >= {"shop.example", "barn.example"}


def test_settings_survive_the_way_through_the_environment(tmp_path):
    settings = read_settings({"data": tmp_path / "å b", "shop": "Ward & Sons", "port": 9002}, {})
    assert read_settings({}, settings.environment()) == settings


@pytest.mark.parametrize(
    ("name", "value", "told"),
    [
        ("PROT", "9000", "There is no setting WITNESSMARK_PROT."),
        ("PORT", "nine", "WITNESSMARK_PORT is 'nine'. Write a whole number from 1 to 65535."),
        ("PORT", "0", "WITNESSMARK_PORT is 0."),
        ("PORT", "65536", "WITNESSMARK_PORT is 65536."),
        ("THREADS", "٣", "WITNESSMARK_THREADS is '٣'."),
        ("MAX_PHOTO", "-1", "WITNESSMARK_MAX_PHOTO is '-1'."),
        ("SESSION_HOURS", "9" * 5000, "WITNESSMARK_SESSION_HOURS is"),
        ("HOSTS", "https://shop.example", "WITNESSMARK_HOSTS is 'https://shop.example'."),
        ("HOSTS", "shop.example:443", "WITNESSMARK_HOSTS is 'shop.example:443'."),
        ("HOSTS", "*", "WITNESSMARK_HOSTS is '*'."),
        ("COOKIE", "plain", "Write one of: auto, secure."),
        ("DATA", "", "WITNESSMARK_DATA is empty."),
    ],
)
def test_a_wrong_setting_is_refused_with_what_to_write(name, value, told):
    with pytest.raises(WrongSetting, match="WITNESSMARK_") as refusal:
        read_settings({}, {f"WITNESSMARK_{name}": value})
    assert told in str(refusal.value)


def test_a_wrong_option_is_refused_like_a_wrong_variable():
    with pytest.raises(WrongSetting, match="WITNESSMARK_PORT is 0"):
        read_settings({"port": 0}, {})


@pytest.mark.parametrize("name", ["client", "checklists", "demo_data"])
def test_the_folders_beside_the_code_are_found(name):
    assert any(bundled(name).iterdir())


def test_a_strangers_folder_is_neither_used_nor_deleted(tmp_path):
    (tmp_path / "letter.txt").write_text("dear")
    for use in (data_folder.claim, data_folder.begin_demo):
        with pytest.raises(data_folder.WrongFolder, match="Name an empty folder"):
            use(tmp_path, "shop")
    assert (tmp_path / "letter.txt").read_text() == "dear"


def test_a_demo_is_kept_once_whole_and_starts_over_when_its_filling_was_cut(tmp_path):
    assert data_folder.begin_demo(tmp_path, fresh=False)
    (tmp_path / "half").touch()
    assert data_folder.begin_demo(tmp_path, fresh=False)
    assert not (tmp_path / "half").exists()
    data_folder.finish_demo(tmp_path)
    (tmp_path / "work").touch()
    assert not data_folder.begin_demo(tmp_path, fresh=False)
    assert (tmp_path / "work").exists()
    assert data_folder.begin_demo(tmp_path, fresh=True)
    assert not (tmp_path / "work").exists()


def test_a_demo_never_takes_or_deletes_a_shop(tmp_path):
    data_folder.claim(tmp_path, "shop")
    (tmp_path / "records").touch()
    with pytest.raises(data_folder.WrongFolder, match="never deletes"):
        data_folder.begin_demo(tmp_path, fresh=True)
    with pytest.raises(data_folder.WrongFolder, match="data folder of a shop"):
        data_folder.begin_demo(tmp_path, fresh=False)
    assert (tmp_path / "records").exists()


def test_a_data_folder_is_its_owners_alone(tmp_path):
    data_folder.claim(tmp_path / "shop", "shop")
    assert (tmp_path / "shop").stat().st_mode & 0o077 == 0


def test_a_taken_port_is_told_before_anything_is_thrown_away(tmp_path):
    data_folder.claim(tmp_path, "demo")
    with socket.create_server(("127.0.0.1", 0)) as other:
        port = other.getsockname()[1]
        words = ["demo", "--fresh", "--data", str(tmp_path), "--port", str(port)]
        done = CliRunner().invoke(main, words)
    assert done.exit_code == 1
    assert f"Port {port} is taken" in done.stderr and f"--port {port + 1}" in done.stderr
    assert data_folder.kind_of(tmp_path) == "demo"


def test_an_address_that_is_not_this_machines_is_told():
    settings = read_settings({"host": "192.0.2.1", "port": 20000}, {})  # RFC 5737: an address nobody has
    with pytest.raises(listening.CannotListen, match="127.0.0.1"):
        listening.need_free(settings)


@pytest.mark.parametrize("words", [["serve"], ["load", "x.yaml"], ["show", "WC-0001"], ["new-epoch", "--yes"]])
def test_a_command_without_a_shop_says_how_to_make_one(words, tmp_path):
    done = CliRunner().invoke(main, [*words, "--data", str(tmp_path / "none")])
    assert done.exit_code == 1
    assert "witnessmark init" in done.stderr
    assert not (tmp_path / "none").exists()


def test_the_people_are_shown_as_a_table():
    people = [{"name": "Ann Ash", "roles": ["mechanic", "author"], "login": "ann", "password": "p w",
               "code": "4711 4712"},
              {"name": "Rex", "roles": ["reader"], "login": "rex", "password": "p", "code": None}]
    assert people_table(people).splitlines() == [
        "  who      roles             sign-in name  password  signing code",
        "  Ann Ash  mechanic, author  ann           p w       4711 4712",
        "  Rex      reader            rex           p         signs nothing",
    ]
