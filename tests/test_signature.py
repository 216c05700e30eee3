"""Signed entries: RFC 7515 and 7638, published ECDSA cases, joserfc as an independent reader and writer, forgeries."""

import json

import pytest
from joserfc import jws
from joserfc.errors import BadSignatureError
from joserfc.jwk import ECKey, OKPKey, RSAKey

from forged_jws import INES, KEYS, MARIA, OTHER_PAYLOAD, PAYLOAD, N, b64, forged, good, raw
from witnessmark.rules.base64url import base64url_bytes, base64url_text
from witnessmark.rules.problems import Problem
from witnessmark.rules.signature import (
    ENTRY_TYP,
    check_public_key,
    finish_jws,
    low_s,
    protected_header,
    read_jws,
    signing_input,
    thumbprint,
    verify,
)

IN_JAVASCRIPT = """
import { readFileSync } from "node:fs";
import { low_s, read_jws, verify } from "./client/rules/signature.js";
import { base64url_bytes, base64url_text } from "./client/rules/base64url.js";
import { Problem } from "./client/rules/problems.js";
const { typ, keys, texts, published, numbers } = JSON.parse(readFileSync(0, "utf8"));
async function refusal(work) {
  try { return await work(); } catch (error) { if (error instanceof Problem) return error.code; throw error; }
}
async function verdict(text) {
  const read = read_jws(text, typ);
  return Object.hasOwn(keys, read.kid) ? verify(read, keys[read.kid]) : "key_unknown";
}
async function all(list, work) {
  const told = [];
  for (const one of list) told.push(await refusal(() => work(one)));
  return told;
}
console.log(JSON.stringify({
  texts: await all(texts, verdict),
  published: await all(published, ({ read, jwk }) => verify(read, jwk)),
  numbers: await all(numbers, (text) => base64url_text(low_s(base64url_bytes(text)))),
}));
"""


def refusal(work, *given):
    """What `work` says to `given`: its result, or the code of its refusal."""
    try:
        return work(*given)
    except Problem as problem:
        return problem.code


def lowered(text):
    return base64url_text(low_s(base64url_bytes(text)))


def verdict(text):
    """What a server says to `text`: true, false, or the code of the refusal."""
    read = refusal(read_jws, text, ENTRY_TYP)
    if isinstance(read, str):
        return read
    return verify(read, KEYS[read["kid"]]) if read["kid"] in KEYS else "key_unknown"


def in_javascript(node, texts=(), published=(), numbers=()):
    given = {"typ": ENTRY_TYP, "keys": KEYS, "texts": texts, "published": published, "numbers": numbers}
    return json.loads(node(IN_JAVASCRIPT, json.dumps(given)))


def test_forged_and_malformed_entries_are_refused_alike_in_both_languages(node):
    cases = list(forged())
    texts = [text for _, text in cases]
    told = [verdict(text) for text in texts]
    assert len({json.dumps(text) for text in texts}) >= 1500
    taken = [why for (why, _), said in zip(cases, told, strict=True) if said is True]
    assert taken == []
    assert set(told) == {False, "jws_malformed", "jws_header", "signature_form", "key_unknown"}
    in_the_browser = in_javascript(node, texts)["texts"]
    both = zip(cases, told, in_the_browser, strict=True)
    assert [(why, here, there) for (why, _), here, there in both if here != there] == []


def test_good_entries_are_taken_in_both_languages(node):
    texts = [text for _, text in good()]
    assert [verdict(text) for text in texts] == [True] * 10
    assert in_javascript(node, texts)["texts"] == [True] * 10


def test_published_ecdsa_cases(root, node):
    """A selection of Wycheproof's P-256 cases in P1363 form (tests/standards/ecdsa_p256_p1363.json)."""
    cases = json.loads((root / "tests/standards/ecdsa_p256_p1363.json").read_text("utf-8"))
    assert len(cases["cases"]) == cases["count"]
    published, expected, high = [], [], 0
    for case in cases["cases"]:
        data, jwk = bytes.fromhex(case["signature"]), {"crv": "P-256", "kty": "EC", "x": case["x"], "y": case["y"]}
        read = {"signed": case["message"], "signature": b64(data)}
        published.append({"read": read, "jwk": jwk})
        expected.append(case["result"] == "valid")
        if case["result"] == "valid" and int.from_bytes(data[32:], "big") > N // 2:
            high += 1
            header_and_payload = f"{b64(protected_header(thumbprint(jwk), ENTRY_TYP))}.{b64(case['message'])}"
            assert refusal(read_jws, f"{header_and_payload}.{read['signature']}", ENTRY_TYP) == "signature_form"
            published.append({"read": {**read, "signature": base64url_text(low_s(data))}, "jwk": jwk})
            expected.append(True)
    assert (expected.count(True), expected.count(False), high) == (17, 10, 4)
    assert [verify(one["read"], one["jwk"]) for one in published] == expected
    assert in_javascript(node, published=published)["published"] == expected


def test_low_s_is_the_same_in_both_languages_and_verifies(node):
    signed = signing_input(MARIA.kid, ENTRY_TYP, PAYLOAD)
    r, s = MARIA.numbers(signed)
    texts = [b64(raw(*pair)) for pair in ((r, s), (r, N - s), (1, 1), (1, N - 1), (N - 1, N // 2), (N - 1, N // 2 + 1),
                                          (0, 1), (1, 0), (N, 1), (1, N))]  # fmt: skip
    texts += [b64(b"\x01" * length) for length in (0, 63, 65)]
    here = [refusal(lowered, text) for text in texts]
    assert here == in_javascript(node, numbers=texts)["numbers"]
    assert here[0] == here[1] and here[2:6] == [b64(raw(1, 1))] * 2 + [b64(raw(N - 1, N // 2))] * 2
    assert here[6:] == ["signature_form"] * 7
    assert verify({"signed": signed, "signature": here[0]}, MARIA.jwk)


def test_joserfc_reads_what_we_write():
    key = ECKey.import_key(dict(MARIA.jwk))
    for payload in (PAYLOAD, '{"note":"caf\u00e9 \u2713"}', ""):
        r, s = MARIA.numbers(signing_input(MARIA.kid, ENTRY_TYP, payload))
        for one in (s, N - s):
            read = jws.deserialize_compact(finish_jws(MARIA.kid, ENTRY_TYP, payload, raw(r, one)), key)
            assert read.payload == payload.encode()
            assert read.headers() == {"alg": "ES256", "kid": MARIA.kid, "typ": ENTRY_TYP}
    text = finish_jws(MARIA.kid, ENTRY_TYP, OTHER_PAYLOAD, raw(r, s))
    with pytest.raises(BadSignatureError):
        jws.deserialize_compact(text, key)


def test_we_read_what_joserfc_writes_when_s_is_low():
    """RFC 7518 leaves s free, so a plain writer hits the larger one about every other time; `low_s` mends it."""
    key = ECKey.generate_key("P-256")
    jwk = {name: key.as_dict(private=False)[name] for name in ("crv", "kty", "x", "y")}
    kid = thumbprint(jwk)
    seen = set()
    for number in range(64):
        payload = f'{{"sequence":{number}}}'
        text = jws.serialize_compact({"alg": "ES256", "kid": kid, "typ": ENTRY_TYP}, payload, key)
        data = base64url_bytes(text.split(".")[2])
        low = int.from_bytes(data[32:], "big") <= N // 2
        seen.add(low)
        if not low:
            assert refusal(read_jws, text, ENTRY_TYP) == "signature_form"
            text = finish_jws(kid, ENTRY_TYP, payload, data)
        read = read_jws(text, ENTRY_TYP)
        assert (read["kid"], read["payload_text"]) == (kid, payload)
        assert verify(read, jwk) and not verify(read, INES.jwk)
    assert seen == {True, False}


@pytest.mark.parametrize("kind", [(ECKey, "P-256"), (ECKey, "P-384"), (OKPKey, "Ed25519"), (RSAKey, 2048)], ids=str)
def test_thumbprints_are_those_of_joserfc(kind):
    key = kind[0].generate_key(kind[1])
    assert thumbprint(key.as_dict(private=False)) == key.thumbprint()


def test_keys_of_joserfc_are_taken_only_when_public_and_on_p_256():
    key = ECKey.generate_key("P-256")
    public = {name: value for name, value in key.as_dict(private=False).items() if name != "kid"}
    check_public_key(public)
    for other in (key.as_dict(private=True), ECKey.generate_key("P-384").as_dict(private=False),
                  ECKey.generate_key("secp256k1").as_dict(private=False)):  # fmt: skip
        other.pop("kid", None)
        assert refusal(check_public_key, other) == "key_form"
