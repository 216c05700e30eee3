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
    return Fraction(value["ratio"]) if isinstance(value, dict) and set(value) == {"ratio"} else value


def packed(value):
    return {"ratio": f"{value.numerator}/{value.denominator}"} if isinstance(value, Fraction) else value


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
