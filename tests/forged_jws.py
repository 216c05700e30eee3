"""Forged and malformed JWS texts, each one mistake away from a good one, for the rules of both languages.

Whoever forges knows everything public and may hold a key of the shop: a wrong header or form is signed properly,
so that only the rule under test stands in the way.
"""

import base64
import json

from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.asymmetric.utils import decode_dss_signature, encode_dss_signature
from cryptography.hazmat.primitives.hashes import SHA256, SHA384

from witnessmark.rules.signature import ENROLMENT_TYP, ENTRY_TYP, SESSION_TYP, thumbprint

N = 0xFFFFFFFF00000000FFFFFFFFFFFFFFFFBCE6FAADA7179E84F3B9CAC2FC632551
ALPHABET = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_"
PAYLOAD = '{"item":"nut","result":"pass","v":2}'
OTHER_PAYLOAD = '{"item":"nut","result":"fail","v":2}'


def b64(data):
    return base64.urlsafe_b64encode(data.encode() if isinstance(data, str) else data).rstrip(b"=").decode()


class Signer:
    """A private key that signs what it is told to, the same bytes every time."""

    def __init__(self, number, curve=None):
        self.curve = curve or ec.SECP256R1()
        self.private = ec.derive_private_key(number, self.curve)
        point = self.private.public_key().public_numbers()
        width = (self.curve.key_size + 7) // 8
        names = {"secp256r1": "P-256", "secp384r1": "P-384", "secp256k1": "secp256k1"}
        self.jwk = {"crv": names[self.curve.name], "kty": "EC", "x": b64(point.x.to_bytes(width, "big")),
                    "y": b64(point.y.to_bytes(width, "big"))}
        self.kid = thumbprint(self.jwk)

    def header(self, typ=ENTRY_TYP):
        return f'{{"alg":"ES256","kid":"{self.kid}","typ":"{typ}"}}'

    def numbers(self, signed, hashed=None):
        algorithm = ec.ECDSA(hashed or SHA256(), deterministic_signing=True)
        return decode_dss_signature(self.private.sign(signed.encode(), algorithm))

    def signature(self, signed):
        r, s = self.numbers(signed)
        return raw(r, min(s, N - s))

    def jws(self, header=None, payload=PAYLOAD):
        signed = f"{b64(header or self.header())}.{b64(payload)}"
        return f"{signed}.{b64(self.signature(signed))}"


def raw(r, s):
    return r.to_bytes(32, "big") + s.to_bytes(32, "big")


MARIA, INES = Signer(0x1234567), Signer(0x7654321)
KEYS = {one.kid: one.jwk for one in (MARIA, INES)}


def good():
    """Texts that must be taken, as (why, text)."""
    for who, one in (("Maria's", MARIA), ("Ines's", INES)):
        for payload in (PAYLOAD, OTHER_PAYLOAD, "{}", '{"note":"caf\u00e9 \u2713 \U0001f681"}', "\ufeff{}"):
            yield f"{who} {payload!r}", one.jws(payload=payload)


def forged():
    """Every forgery, as (why, text or other JSON value). None may be taken as an entry under `KEYS`."""
    for part in (_algorithms, _members, _spelling, _types_and_keys, _encoding, _shape, _signatures, _swapped, _bits):
        yield from part()


def _algorithms():
    for alg in ("none", "None", "NONE", "HS256", "HS384", "HS512", "RS256", "PS256", "ES384", "ES512", "ES256K",
                "EdDSA", "Ed25519", "es256", "ES256 ", "", "ES-256", "SHA256withECDSA", "dir", "ECDH-ES"):
        header = MARIA.header().replace('"ES256"', json.dumps(alg))
        yield f"alg {alg!r}, signed", MARIA.jws(header)
        yield f"alg {alg!r}, without a signature", f"{b64(header)}.{b64(PAYLOAD)}."
    for value in ("null", "0", "true", '["ES256"]', '{"alg":"ES256"}'):
        yield f"alg {value}", MARIA.jws(MARIA.header().replace('"ES256"', value))


def _members():
    own = json.dumps(MARIA.jwk)
    extra = ['"jku":"https://shop.example/keys"', '"x5u":"https://shop.example/cert"', f'"jwk":{own}', '"x5c":["AA"]',
             '"x5t":"AA"', '"x5t#S256":"AA"', '"cty":"json"', '"crit":["exp"]', '"crit":[]', '"b64":false',
             '"b64":true', '"crit":["b64"],"b64":false', '"zip":"DEF"', '"enc":"A256GCM"', '"nonce":"1"', '"url":"a"',
             '"iat":1', '"x":1', '"":""', '"__proto__":{}', '"constructor":1', '"alg":"ES256"', '"alg":"none"',
             f'"kid":"{MARIA.kid}"', f'"kid":"{INES.kid}"', f'"typ":"{ENTRY_TYP}"', '"typ":"JOSE"']
    names = ("alg", "kid", "typ")
    values = dict(zip(names, ('"ES256"', f'"{MARIA.kid}"', f'"{ENTRY_TYP}"'), strict=True))
    for member in extra:
        yield f"{member} behind", MARIA.jws(MARIA.header()[:-1] + f",{member}}}")
        yield f"{member} in front", MARIA.jws("{" + member + "," + MARIA.header()[1:])
    for left in names:
        yield f"no {left}", MARIA.jws("{" + ",".join(f'"{n}":{values[n]}' for n in names if n != left) + "}")
        yield f"{left} null", MARIA.jws(MARIA.header().replace(values[left], "null"))
        yield f"{left} in capitals", MARIA.jws(MARIA.header().replace(f'"{left}"', f'"{left.upper()}"'))
    for order in (("alg", "typ", "kid"), ("kid", "alg", "typ"), ("kid", "typ", "alg"), ("typ", "alg", "kid"),
                  ("typ", "kid", "alg")):
        yield f"the order {order}", MARIA.jws("{" + ",".join(f'"{n}":{values[n]}' for n in order) + "}")
    for header in ("{}", "[]", "null", '""', "0", "{", "}", "{}{}", f"[{MARIA.header()}]", "x", MARIA.header()[:-1],
                   MARIA.header() + "}", MARIA.header() * 2, json.dumps(MARIA.header())):
        yield f"the header {header[:20]}", MARIA.jws(header)


def _spelling():
    header = MARIA.header()
    for space in (" ", "\n", "\t", "\r", "\u00a0", "\ufeff", "\x00", "\u200b"):
        for at in (0, 1, header.index(":"), header.index(":") + 1, header.index(","), header.index(",") + 1,
                   len(header) - 1, len(header)):
            yield f"{space!r} at {at} of the header", MARIA.jws(header[:at] + space + header[at:])
    for plain, escaped in (("ES256", "\\u0045S256"), ("alg", "\\u0061lg"), ("entry+jws", "entry\\u002bjws"),
                           ("ES256", "E\\/S256"), ("typ", "t\\u0079p"), ('"', "'")):
        yield f"{escaped} for {plain}", MARIA.jws(header.replace(plain, escaped, 1))
    for charset in ("utf-16-le", "utf-16-be", "utf-32-le"):
        yield f"the header in {charset}", MARIA.jws(header.encode(charset))
    for where in (b"\xff", b"\xc0\x80", b"\xed\xa0\x80", b"\xf4\x90\x80\x80", b"\x80", b"\xe2\x82"):
        yield f"{where!r} in the header", MARIA.jws(header.encode()[:-1] + where + b"}")
        yield f"{where!r} in the payload", MARIA.jws(payload=PAYLOAD.encode() + where)


def _types_and_keys():
    for typ in (ENROLMENT_TYP, SESSION_TYP, "JWT", "JOSE", "jose+json", "", "witnessmark-entry", "at+jwt", "dpop+jwt",
                "application/" + ENTRY_TYP, ENTRY_TYP.upper(), ENTRY_TYP + " ", ENTRY_TYP + "\\u0000",
                "witnessmark-entry-jws"):
        yield f"the type {typ!r}", MARIA.jws(MARIA.header(typ))
    stranger = Signer(0xABCDEF)
    yield "a key the shop does not know", stranger.jws()
    unused_bit = MARIA.kid[:-1] + ALPHABET[ALPHABET.index(MARIA.kid[-1]) ^ 1]
    for kid in ("", "A" * 43, MARIA.kid[:-1], MARIA.kid + "A", MARIA.kid + "=", MARIA.kid.swapcase(),
                " " + MARIA.kid[1:], "../" + MARIA.kid[3:], stranger.kid, INES.kid, unused_bit):
        yield f"the kid {kid!r}", MARIA.jws(MARIA.header().replace(MARIA.kid, kid))
    yield "a stranger's signature under Maria's kid", stranger.jws(MARIA.header())
    yield "Ines's signature under Maria's kid", INES.jws(MARIA.header())
    signed = f"{b64(MARIA.header())}.{b64(PAYLOAD)}"
    for curve in (ec.SECP256K1(), ec.SECP384R1()):
        r, s = Signer(0x1234567, curve).numbers(signed)
        width = (curve.key_size + 7) // 8
        yield f"signed on {curve.name}", f"{signed}.{b64(r.to_bytes(width, 'big') + s.to_bytes(width, 'big'))}"
    yield "signed over SHA-384", f"{signed}.{b64(raw(*MARIA.numbers(signed, SHA384())))}"


def _encoding():
    text = MARIA.jws()
    ends = [text.index("."), text.rindex("."), len(text)]
    for at in (0, 5, *ends):
        for put in ("=", "==", " ", "\n", "\r\n", "\t", "\x00", "+", "/", "!", "%3D", "\u00e9", "\uff21", "\ufeff"):
            yield f"{put!r} at {at} of the text", text[:at] + put + text[at:]
    for at, end in zip((0, ends[0] + 1, ends[1] + 1), ends, strict=True):
        part = text[at:end]
        yield f"base64 of the part at {at} in two lines", text[:at] + part[:20] + "\n" + part[20:] + text[end:]
        yield f"the part at {at} is left out", text[:at] + text[end:]
        yield f"the part at {at} twice", text[:end] + part + text[end:]
        yield f"hexadecimal for the part at {at}", text[:at] + part.encode().hex() + text[end:]
        for cut in (1, 2, 3, 4):
            yield f"the part at {at} is {cut} shorter", text[: end - cut] + text[end:]
            yield f"the part at {at} is {cut} longer", text[:end] + "A" * cut + text[end:]
        if len(part) % 4:
            last = ALPHABET.index(part[-1])
            for unused in range(1, 4 if len(part) % 4 == 3 else 16):
                other = ALPHABET[last ^ unused]
                yield f"unused bits {unused} in the part at {at}", text[: end - 1] + other + text[end:]


def _shape():
    text = MARIA.jws()
    header, payload, signature = text.split(".")
    whole = {"payload": payload, "protected": header, "signature": signature}
    unprotected = {**whole, "header": {"kid": MARIA.kid}}
    general = {"payload": payload, "signatures": [{"protected": header, "signature": signature}]}
    for shape in (whole, unprotected, general, [text], [header, payload, signature]):
        yield "JSON serialization, as JSON", shape
        yield "JSON serialization, as text", json.dumps(shape)
    for value in (None, True, 0, "", ".", "..", "...", "....", "a.b.c", "null", text.encode().hex()):
        yield f"{value!r}", value
    for parts in ((header, payload), (header, payload, signature, ""), ("", header, payload, signature),
                  (header, "", payload, signature), (header, payload, signature, signature),
                  (payload, header, signature), (signature, payload, header), (header, "", "", "", signature),
                  (header, "", "AA", payload, signature),
                  (header, "AAAA", "AAAA", payload, "AAAA"), (header, "", signature), (header, payload, "")):
        yield f"{len(parts)} parts", ".".join(parts)
    for put in (text + text, text + "\n" + text, f'"{text}"', f"Bearer {text}", text.replace(".", ","),
                text.replace(".", "\u3002"), text + "~", text.lower(), text[::-1]):
        yield "around the text", put


def _signatures():
    signed = f"{b64(MARIA.header())}.{b64(PAYLOAD)}"
    r, s = MARIA.numbers(signed)
    s = min(s, N - s)
    p = 0xFFFFFFFF00000001000000000000000000000000FFFFFFFFFFFFFFFFFFFFFFFF
    # Wycheproof's classes for ECDSA in P1363 form: special values, other sizes, DER, r and s changed.
    special = (0, 1, N - 1, N, N + 1, p, p + 1, 2**256 - 1)
    for one in special:
        for other in special:
            yield f"r, s = {one:x}, {other:x}", f"{signed}.{b64(raw(one, other))}"
        yield f"s = {one:x}", f"{signed}.{b64(raw(r, one))}"
        yield f"r = {one:x}", f"{signed}.{b64(raw(one, s))}"
    both = raw(r, s)
    changed = {
        "high s": raw(r, N - s), "r and s swapped": raw(s, r), "n - r": raw(N - r, s),
        "DER": encode_dss_signature(r, s),
        "r + 2**256": b"\x01" + r.to_bytes(32, "big") + s.to_bytes(33, "big"), "only r": both[:32],
        "r + n in 33 bytes": (r + N).to_bytes(33, "big") + s.to_bytes(33, "big"), "reversed": both[::-1],
        "little-endian": both[31::-1] + both[:31:-1], "twice": both * 2, "nothing": b"",
        "a zero in front": b"\x00" + both, "a zero behind": both + b"\x00", "without its first byte": both[1:],
        "without its last byte": both[:-1], "in 48 + 48 bytes": r.to_bytes(48, "big") + s.to_bytes(48, "big"),
    }  # fmt: skip
    for why, data in changed.items():
        yield f"the signature: {why}", f"{signed}.{b64(data)}"


def _swapped():
    one, two, ines = MARIA.jws().split("."), MARIA.jws(payload=OTHER_PAYLOAD).split("."), INES.jws().split(".")
    enrolment = MARIA.jws(MARIA.header(ENROLMENT_TYP)).split(".")
    yield "the payload of another entry", f"{one[0]}.{two[1]}.{one[2]}"
    yield "the signature of another entry", f"{one[0]}.{one[1]}.{two[2]}"
    yield "the header of another person", f"{ines[0]}.{one[1]}.{one[2]}"
    yield "the signature of another person", f"{one[0]}.{one[1]}.{ines[2]}"
    yield "header and signature of another entry", f"{two[0]}.{one[1]}.{two[2]}"
    yield "an enrolment with the header of an entry", f"{one[0]}.{enrolment[1]}.{enrolment[2]}"
    yield "the header of an enrolment", f"{enrolment[0]}.{one[1]}.{one[2]}"
    for payload in (PAYLOAD + " ", " " + PAYLOAD, PAYLOAD + "\n", "\ufeff" + PAYLOAD, PAYLOAD.replace(":", ": "), "",
                    "{}", PAYLOAD.replace("pass", "fail"), PAYLOAD.replace("2", "3"), PAYLOAD.upper()):
        yield f"another payload, {payload!r}", f"{one[0]}.{b64(payload)}.{one[2]}"


def _bits():
    text = MARIA.jws()
    header, payload, signature = (base64.urlsafe_b64decode(part + "=" * (-len(part) % 4)) for part in text.split("."))
    for name, parts in (("header", 0), ("payload", 1), ("signature", 2)):
        data = (header, payload, signature)[parts]
        for bit in range(len(data) * 8):
            flipped = bytearray(data)
            flipped[bit // 8] ^= 1 << bit % 8
            new = text.split(".")
            new[parts] = b64(bytes(flipped))
            yield f"bit {bit} of the {name}", ".".join(new)
