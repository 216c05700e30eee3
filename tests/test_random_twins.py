"""Every rule that computes, in both languages, on random inputs: the packed answers must be the same bytes.

By default 300 cases for each function; behind the marker `faults` 100,000, or as many as `--random-cases` says. The
end of the run tells how many there were, how many of them were refused, and the seed (`--random-seed` takes it again).
"""

import json
import random
import subprocess
from fractions import Fraction
from importlib import import_module
from pathlib import Path

import pytest

import random_readings
import random_tools
import random_values
from system_packages import node_flags
from witnessmark.rules.problems import Problem

ROOT = Path(__file__).parents[1]
CASES = {**random_values.CASES, **random_tools.CASES, **random_readings.CASES}
MODULES = sorted({name.partition(".")[0] for name in CASES})
BATCH, FEW = 100, 300


class Node:
    """One Node process that answers batches of calls by the phone's rules."""

    def __init__(self):
        command = ["node", *node_flags(), "tests/random_twins.js"]
        self.process = subprocess.Popen(command, cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
                                        encoding="utf-8")

    def answers(self, calls):
        """The answers to [[name, packed arguments]] as texts."""
        # Node reads the line to its end before it writes: neither side waits for the other with a full pipe.
        self.process.stdin.write(json.dumps(calls) + "\n")
        self.process.stdin.flush()
        return json.loads(self.process.stdout.readline())

    def close(self):
        self.process.stdin.close()
        self.process.stdout.close()
        assert self.process.wait(20) == 0


@pytest.fixture(scope="module")
def twin():
    started = Node()
    yield started
    started.close()


@pytest.fixture(scope="module")
def seed(request):
    given = request.config.getoption("--random-seed")
    return random.SystemRandom().randrange(10**9) if given is None else given


def packed(value):
    if isinstance(value, Fraction):
        return {"ratio": f"{value.numerator}/{value.denominator}"}
    if isinstance(value, dict):
        return {name: packed(value[name]) for name in sorted(value)}
    return [packed(one) for one in value] if isinstance(value, (list, tuple)) else value


def python_answer(function, given):
    """As text, what `random_twins.js` says of the same call."""
    try:
        said = {"out": packed(function(*given))}
    except Problem as problem:
        said = {"problem": problem.code, "sentence": problem.sentence}
    return json.dumps(said, ensure_ascii=False, separators=(",", ":"))


def compare(name, twin, seed, count):
    """Throw `count` cases and compare; returns how many were refused."""
    module, function = name.split(" ")[0].split(".")
    function = getattr(import_module(f"witnessmark.rules.{module}"), function)
    dice, refused = random_values.Dice(f"{seed} {name}"), 0
    for start in range(0, count, BATCH):
        givens = [CASES[name](dice) for _ in range(min(BATCH, count - start))]
        theirs = twin.answers([[name, packed(given)] for given in givens])
        for given, their in zip(givens, theirs, strict=True):
            ours = python_answer(function, given)
            assert ours == their, f"seed {seed}: {name} of {json.dumps(packed(given), ensure_ascii=False)}"
            refused += ours.startswith('{"problem"')
    return refused


def test_no_function_of_these_modules_is_left_out():
    public = {f"{module}.{name}" for module in MODULES
              for name, value in vars(import_module(f"witnessmark.rules.{module}")).items()
              if not name.startswith("_") and getattr(value, "__module__", "") == f"witnessmark.rules.{module}"}
    assert public - {name.split(" ")[0] for name in CASES} == set()


@pytest.mark.parametrize("name", CASES)
def test_both_languages_say_the_same(name, twin, seed, request):
    refused = compare(name, twin, seed, FEW)
    request.node.user_properties.append(("random_cases", [name, FEW, refused, seed]))
    assert refused < FEW, "no case was allowed, so nothing was computed"


@pytest.mark.faults
@pytest.mark.parametrize("name", CASES)
def test_both_languages_say_the_same_very_often(name, twin, seed, request):
    many = request.config.getoption("--random-cases")
    request.node.user_properties.append(("random_cases", [name, many, compare(name, twin, seed, many), seed]))
