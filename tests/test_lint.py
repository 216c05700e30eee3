"""The linter: its vectors say why; here its tables, its command, what an author overrules, and our own cards."""

import json

import pytest
from click.testing import CliRunner

from test_vectors import load
from witnessmark.cli import main
from witnessmark.config import bundled
from witnessmark.records import template_files
from witnessmark.rules import lint_words
from witnessmark.rules.card_template import load_template, revision_of
from witnessmark.rules.lint import RULES, findings, overruled_findings
from witnessmark.rules.problems import Problem
from wrong_cards import GOOD

FILES = sorted(bundled("checklists").glob("*.yaml"))
OVERRULED = "overruled:\n  - {rule: one_action, item: nut, reason: The pin comes with the nut.}\n"
TWO_ACTIONS = GOOD.replace("do: Torque the nut.", "do: Remove the pin and torque the nut.")


@pytest.mark.parametrize("rule", RULES)
def test_each_rule_has_a_case_that_fires_and_one_that_does_not_and_names_its_source(rule):
    cases = [case for case in load("lint") if case["why"].startswith(f"{rule}: ") and case["function"] == "findings"]
    fires = [rule in {finding["rule"] for finding in case["out"]} for case in cases]
    assert True in fires and False in fires
    assert all(RULES[rule]["source"] in case["why"] for case in cases)


@pytest.mark.parametrize("rule", RULES)
def test_a_finding_says_what_to_write_instead(rule):
    assert " Write " in lint_words.SENTENCES[rule]


def test_both_tables_of_words_are_the_same(node):
    told = node("import('./client/rules/lint_words.js').then((m) => console.log(JSON.stringify({...m})))")
    mine = {name: value for name, value in vars(lint_words).items() if name.isupper()}
    assert json.loads(told) == mine


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_nothing_is_left_to_say_of_a_card_of_ours(path):
    assert findings(template_files.read(path)) == []


def test_both_languages_say_the_same_of_our_cards_written_badly(node, tmp_path):
    spoilt = [json.loads(json.dumps(template_files.read(path)).replace(" the ", " shall be the ")
                         .replace(" and ", " and remove ").replace('"source": "', '"was": "')) for path in FILES]
    (tmp_path / "cards.json").write_text(json.dumps(spoilt), encoding="utf-8")
    told = node("Promise.all([import('./client/rules/lint.js'), import('node:fs')]).then(([m, fs]) => console.log("
                f"JSON.stringify(JSON.parse(fs.readFileSync('{tmp_path}/cards.json')).map(m.findings))))")
    mine = [findings(card) for card in spoilt]
    assert json.loads(told) == mine
    assert min(len(found) for found in mine) > 10


def test_a_hostile_card_is_does_not_hold_the_patterns_up():
    long = "remove and " * 36 + "A" * 4000 + " 1l" * 2000 + "," * 4000
    item = {"item": "a", "title": long, "do": long, "why": long, "look_for": [long] * 12, "cautions": [long] * 12}
    found = findings({"zones": [{"zone": "z", "items": [item] * 10}]})
    assert {one["rule"] for one in found} >= {"one_action", "short_sentences", "look_alike"}


def ran(tmp_path, text, *options):
    (tmp_path / "trial.yaml").write_text(text, encoding="utf-8")
    return CliRunner().invoke(main, ["lint", str(tmp_path / "trial.yaml"), *options])


def test_lint_tells_advice_and_is_content(tmp_path):
    result = ran(tmp_path, TWO_ACTIONS)
    assert result.exit_code == 0
    assert 'trial.yaml: advice one_action, item nut, do: A second action begins at "torque". Write it ' in result.output
    assert ": fine, 1 zone, 2 items, 2 pieces of advice" in result.output
    assert ran(tmp_path, TWO_ACTIONS, "--advice", "no").output.startswith(str(tmp_path))


def test_lint_tells_an_error_whatever_is_hidden_and_exits_with_1(tmp_path):
    card = GOOD.replace("do: Wipe the tube.", "do: Wipe the tube. Measure it.").replace("do: Torque", "do: Turn")
    for old, new in (("title: Nut", "title: Tension of the cable"), ("kind: torque", "kind: text"),
                     ("            unit: in-lbf\n            limits: {min: 50, max: 70}\n", ""),
                     ("            source: invented\n            required: no", "            required: no")):
        card = card.replace(old, new)
    result = ran(tmp_path, card, "--advice", "no")
    assert result.exit_code == 1
    assert "trial.yaml: error value_not_tick, item nut, title: " in result.output and "NOT fine" in result.output


def test_lint_tells_the_faults_of_a_card_that_cannot_be_read(tmp_path):
    result = ran(tmp_path, GOOD.replace("unit: in\n", "unit: inch\n"))
    assert result.exit_code == 1 and "is not a unit we know" in result.output


def test_advice_that_is_overruled_is_listed_with_its_reason_and_not_counted(tmp_path):
    card = load_template(TWO_ACTIONS + OVERRULED, "trial.yaml")
    assert "one_action" not in [finding["rule"] for finding in findings(card)]
    (one,) = overruled_findings(card)
    assert (one["rule"], one["item"], one["reason"]) == ("one_action", "nut", "The pin comes with the nut.")
    output = ran(tmp_path, TWO_ACTIONS + OVERRULED).output
    assert "overruled one_action, item nut, do: " in output
    assert "Overruled because: The pin comes with the nut." in output


def test_a_card_without_the_key_keeps_its_name():
    card = load_template(GOOD, "trial.yaml")
    assert "overruled" not in card
    assert revision_of(card) != revision_of(load_template(TWO_ACTIONS + OVERRULED, "trial.yaml"))


@pytest.mark.parametrize(("old", "new", "words"), [
    ("one_action", "value_not_tick", ["key rule", '"value_not_tick" cannot be overruled']),
    ("one_action", "spelling", ['"spelling" is not a rule we know', "one_action"]),
    ("one_action", "overruled_nothing", ["cannot be overruled"]),
    ("item: nut", "item: bolt", ['no item of this card is called "bolt"']),
    ("The pin comes with the nut.", "no", ['"no" has 2 characters', "10 to 400"]),
    (", reason: The pin comes with the nut.", "", ["the key reason is missing"]),
    ("}\n", "}\n  - {rule: one_action, item: nut, reason: The pin comes again.}\n", ["overruled twice"]),
])
def test_a_wrong_overruling_is_told_where_and_what_to_write(old, new, words):
    with pytest.raises(Problem) as refused:
        load_template(TWO_ACTIONS + OVERRULED.replace(old, new, 1), "trial.yaml")
    (sentence,) = refused.value.fields["faults"]
    assert all(word in sentence for word in [*words, " Write "]), sentence
