"""What a reader is told exists, and what exists is told: commands, settings, markers."""

import re
import tomllib
from dataclasses import fields
from pathlib import Path

import click
import pytest

from witnessmark.cli import main
from witnessmark.config import PREFIX, Settings

ROOT = Path(__file__).resolve().parents[1]
SETTINGS = [PREFIX + field.name.upper() for field in fields(Settings)]


def told():
    return "\n".join((ROOT / name).read_text(encoding="utf-8") for name in ("README.md", "DEVELOPERS.md"))


@pytest.mark.parametrize("command", sorted(main.commands))
def test_every_command_is_in_the_docs(command):
    found = re.search(rf"(witnessmark|python3 server) {re.escape(command)}\b", told()) is not None
    assert found, f"`witnessmark {command}` is told nowhere"


@pytest.mark.parametrize("setting", SETTINGS)
def test_every_setting_is_in_the_docs(setting):
    found = re.search(rf"\b{setting}\b", told()) is not None
    assert found, f"{setting} is told nowhere"


def test_the_docs_name_no_setting_and_no_command_that_is_not_there():
    assert set(re.findall(rf"\b{PREFIX}[A-Z_]+\b", told())) <= set(SETTINGS)
    said = set(re.findall(r"(?:^|`|\$ )witnessmark ([a-z][a-z-]*)", told(), re.MULTILINE))
    assert said <= set(main.commands)


@pytest.mark.parametrize("command", sorted(main.commands))
def test_every_command_explains_itself(command):
    assert len(main.commands[command].help or "") > 40
    for option in main.commands[command].params:
        if isinstance(option, click.Option):
            assert option.help, f"{command} {option.name} has no help"


@pytest.mark.parametrize("setting", fields(Settings), ids=lambda setting: setting.name)
def test_every_setting_says_why_one_would_change_it(setting):
    assert len(setting.metadata["why"]) > 30


def test_the_readme_gets_to_a_command_within_its_first_twenty_lines():
    lines = (ROOT / "README.md").read_text(encoding="utf-8").splitlines()
    assert any("python3 server demo" in line for line in lines[:20])


def test_the_docs_explain_the_selections_of_tests():
    options = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["pytest"]["ini_options"]
    for marker in options["markers"]:
        assert f"--{marker.split(':')[0]}" in told()
