"""The shared cases of `tests/vectors`, run through the Python rules. `vectors.test.js` runs the same ones."""

import json
from fractions import Fraction
from importlib import import_module
from pathlib import Path

import pytest

from witnessmark.rules.problems import SENTENCES, Problem

FOLDER = Path(__file__).parent / "vectors"


def load(name):
    vectors = json.loads((FOLDER / f"{name}.json").read_text(encoding="utf-8"))
    assert len(vectors["cases"]) == vectors["count"] > 0
    return vectors["cases"]


def unpacked(value):
    if isinstance(value, dict):
        if set(value) == {"ratio"}:
            return Fraction(value["ratio"])
        return {name: unpacked(one) for name, one in value.items()}
    return [unpacked(one) for one in value] if isinstance(value, list) else value


def packed(value):
    if isinstance(value, Fraction):
        return {"ratio": f"{value.numerator}/{value.denominator}"}
    if isinstance(value, dict):
        return {name: packed(one) for name, one in value.items()}
    return [packed(one) for one in value] if isinstance(value, list) else value


def cases():
    for path in sorted(FOLDER.glob("*.json")):
        for number, case in enumerate(load(path.stem)):
            yield pytest.param(path.stem, case, id=f"{path.stem}-{number}")


@pytest.mark.parametrize(("name", "case"), list(cases()))
def test_vector(name, case):
    function = getattr(import_module(f"witnessmark.rules.{name}"), case["function"])
    given = [unpacked(value) for value in case["in"]]
    if "problem" in case:
        with pytest.raises(Problem) as refusal:
            function(*given)
        assert refusal.value.code == case["problem"], case["why"]
    else:
        assert packed(function(*given)) == case["out"], case["why"]


def test_both_tables_of_sentences_are_the_same(node):
    told = node("import('./client/rules/problems.js').then((m) => console.log(JSON.stringify(m.SENTENCES)))")
    assert json.loads(told) == SENTENCES
