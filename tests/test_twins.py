"""Both languages, the same histories, the same bytes; and the laws of the fold: no order, no copies, no clock."""

import json
import subprocess

import pytest
import rfc8785
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from histories import ANN, BOB, INA, IVO, Phone, correction, field, item, reading, result, template
from system_packages import node_flags
from witnessmark.rules.canonical import canonical_text
from witnessmark.rules.card_state import fold
from witnessmark.rules.ratio import ratio, show

CARD = template(item("bolt", fields=[field()]), item("nut", countersign=True, controls=True),
                item("pin", not_applicable=False))
LISTENER = """
import { createInterface } from 'node:readline';
import { canonical_text } from './client/rules/canonical.js';
import { fold } from './client/rules/card_state.js';
import { ratio, show } from './client/rules/ratio.js';
const answers = { canonical_text, fold: (card, entries, persons) => canonical_text(fold(card, entries, persons)),
  show: (typed, places) => show(ratio(typed), places) };
for await (const line of createInterface({ input: process.stdin })) {
  const [name, ...given] = JSON.parse(line);
  console.log(JSON.stringify(answers[name](...given)));
}
"""
RELAXED = settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


@pytest.fixture(scope="module")
def twin(root):
    """Ask the JavaScript rules: twin(name, *arguments)."""
    process = subprocess.Popen(["node", *node_flags(), "--input-type=module", "-e", LISTENER], cwd=root, text=True,
                               stdin=subprocess.PIPE, stdout=subprocess.PIPE, encoding="utf-8")

    def ask(*question):
        process.stdin.write(json.dumps(question) + "\n")
        process.stdin.flush()
        return json.loads(process.stdout.readline())

    yield ask
    process.stdin.close()
    process.wait(10)
    process.stdout.close()


@st.composite
def histories(draw):
    """Up to 14 entries of three phones, each made in sight of any part of what was there before."""
    phones, made = [Phone(f"{digit}" * 32) for digit in "abc"], []
    for _ in range(draw(st.integers(0, 14))):
        phone, author = draw(st.sampled_from(phones)), draw(st.sampled_from([ANN, BOB, INA, IVO]))
        on = draw(st.sampled_from(["bolt", "nut", "pin"]))
        seen = draw(st.lists(st.sampled_from([old for old in made if old["payload"]["item"] == on]), max_size=3)
                    if any(old["payload"]["item"] == on for old in made) else st.just([]))
        made.append(draw_entry(draw, phone, author, on, seen, made))
    return made


def draw_entry(draw, phone, author, on, seen, made):
    kind = draw(st.sampled_from(["result", "result", "result", "settlement", "corrective_action", "countersignature",
                                 "countersignature", "rejection", "release", "disapproval", "admission"]))
    said = draw(st.sampled_from(["pass", "pass", "fail", "not_applicable"]))
    readings = {"gap": reading(draw(st.sampled_from(["0.015", "0.0150", "0.5"])))} if on == "bolt" else {}
    if kind == "countersignature" and seen:
        return phone.countersigns(author, seen, item=on)
    if kind in ("release", "disapproval"):
        over = [old for old in made if old["payload"]["kind"] == "release" and draw(st.booleans())]
        return phone.releases(author, fold(CARD, made)["covers"], kind=kind, over=over)
    if kind == "rejection" and seen:
        return phone.sends_back(author, seen, item=on)
    if kind == "admission":
        return phone.makes(author, kind, {"entry": "ab" * 32, "reason": "Known.", "statement": "In."}, item=None)
    if kind == "corrective_action":
        return phone.makes(author, kind, correction(), item=on, over=seen)
    body = result(said, readings=readings)
    if kind == "settlement":
        body["statement"] = "This stands."
    return phone.makes(author, "settlement" if kind == "settlement" else "result", body, item=on, over=seen)


@RELAXED
@given(made=histories(), data=st.data())
def test_any_order_and_any_copies_fold_to_the_same_bytes_in_both_languages(twin, made, data):
    persons = data.draw(st.sampled_from([1, 2]))
    state = canonical_text(fold(CARD, made, persons))
    shuffled = data.draw(st.permutations(made + [entry for entry in made if data.draw(st.booleans())]))
    assert canonical_text(fold(CARD, shuffled, persons)) == state
    told = [{"id": entry["id"], "payload": entry["payload"]} for entry in shuffled]
    assert twin("fold", CARD, told, persons) == state


@RELAXED
@given(made=histories(), years=st.integers(-20, 20))
def test_no_clock_decides_anything(made, years):
    moved = [{**entry, "payload": {**entry["payload"], "claimed_at": f"{2026 + years}-01-01T00:00:00Z"}}
             for entry in made]
    assert fold(CARD, moved) == fold(CARD, made)


@RELAXED
@given(made=histories())
def test_results_that_did_not_see_each_other_and_differ_are_always_shown_as_disputed(made):
    """The definition, written again the long way round: every pair, every path."""
    by_id = {entry["id"]: entry["payload"] for entry in made}

    def behind(id):
        found = set()
        for old in by_id[id]["supersedes"]:
            if old in by_id:
                found |= {old} | behind(old)
        return found

    def said(payload):
        values = [str(float(value)) for read in payload["body"]["readings"].values() for value in read["values"]]
        return payload["body"]["result"], values

    for state in fold(CARD, made)["items"]:
        results = [id for id, payload in by_id.items()
                   if payload["item"] == state["item"] and payload["kind"] in ("result", "settlement")]
        disputed = any(
            said(by_id[a]) != said(by_id[b]) and a not in behind(b) and b not in behind(a)
            and not any(by_id[c]["kind"] == "settlement" and {a, b} <= behind(c) for c in results)
            for a in results for b in results)
        assert (state["status"] == "disputed") == disputed


plain = st.recursive(st.none() | st.booleans() | st.integers(-2**53 + 1, 2**53 - 1) | st.text(),
                     lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(), inner, max_size=4))


@RELAXED
@given(value=plain)
def test_canonical_text_equals_the_reference_library_and_the_twin(twin, value):
    """Oracle: the `rfc8785` package of PyPI, an independent implementation of RFC 8785."""
    text = canonical_text(value)
    assert text.encode() == rfc8785.dumps(value)
    assert twin("canonical_text", value) == text


@RELAXED
@given(whole=st.integers(-10**12, 10**12), decimals=st.integers(0, 6), places=st.integers(0, 5))
def test_shown_numbers_are_the_same_in_both_languages(twin, whole, decimals, places):
    digits = str(abs(whole)).rjust(decimals + 1, "0")
    typed = ("-" if whole < 0 else "") + (f"{digits[:-decimals]}.{digits[-decimals:]}" if decimals else digits)
    assert twin("show", typed, places) == show(ratio(typed), places)
