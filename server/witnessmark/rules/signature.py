"""Signed entries: JWS compact (RFC 7515) with ES256 (RFC 7518 section 3.4) and nothing else.

One profile, no choices: the protected header is exactly alg, kid and typ in that order, the key is found by its
RFC 7638 thumbprint, and of the two signatures (r, s) and (r, n - s) only the one with the smaller s is taken.
"""

import hashlib
import re
from functools import lru_cache

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.asymmetric.utils import encode_dss_signature
from cryptography.hazmat.primitives.hashes import SHA256

from .base64url import base64url_bytes, base64url_text
from .canonical import canonical_text
from .problems import Problem

ENTRY_TYP = "witnessmark-entry+jws"
ENROLMENT_TYP = "witnessmark-enrolment+jws"
SESSION_TYP = "witnessmark-session+jws"
VOUCH_TYP = "witnessmark-vouch+jws"

# P-256, NIST SP 800-186 section 3.2.1.3: the field, the coefficient b and the order of the group.
P = 0xFFFFFFFF00000001000000000000000000000000FFFFFFFFFFFFFFFFFFFFFFFF
B = 0x5AC635D8AA3A93E7B3EBBD55769886BC651D06B0CC53B0F63BCE3C3E27D2604B
N = 0xFFFFFFFF00000000FFFFFFFFFFFFFFFFBCE6FAADA7179E84F3B9CAC2FC632551

THUMBPRINT_MEMBERS = {"EC": ("crv", "kty", "x", "y"), "OKP": ("crv", "kty", "x"), "RSA": ("e", "kty", "n")}
HEADER = re.compile(r'\{"alg":"ES256","kid":"([A-Za-z0-9_-]{43})","typ":"[^"\\]*"\}')


def thumbprint(jwk):
    """The RFC 7638 thumbprint of `jwk` (a dict; kty EC, OKP or RSA): base64url of SHA-256, 43 characters.

    Raises Problem `key_form`.
    """
    kind = jwk.get("kty") if isinstance(jwk, dict) else None
    members = THUMBPRINT_MEMBERS.get(kind) if isinstance(kind, str) else None
    if members is None:
        raise Problem("key_form", why="kty is none of EC, OKP and RSA")
    if not all(isinstance(jwk.get(name), str) for name in members):
        raise Problem("key_form", why=f"it needs {', '.join(members)}")
    text = canonical_text({name: jwk[name] for name in members})
    return base64url_text(hashlib.sha256(text.encode("utf-8")).digest())


def check_public_key(jwk):
    """Refuse `jwk` unless it is a P-256 point with exactly the members crv, kty, x, y. Raises Problem `key_form`."""
    if not isinstance(jwk, dict) or set(jwk) != {"crv", "kty", "x", "y"}:
        raise Problem("key_form", why="its members are not exactly crv, kty, x and y")
    if jwk["kty"] != "EC" or jwk["crv"] != "P-256":
        raise Problem("key_form", why="it is of another kind")
    x, y = (_coordinate(jwk[name], name) for name in ("x", "y"))
    if x >= P or y >= P or (y * y - (x * x * x - 3 * x + B)) % P:
        raise Problem("key_form", why="it is not a point of the curve")


def protected_header(kid, typ):
    """The one text of the protected header for the key `kid` (thumbprint) and the type `typ`."""
    return canonical_text({"alg": "ES256", "kid": kid, "typ": typ})


def signing_input(kid, typ, payload_text):
    """What is signed (RFC 7515 section 5.1): base64url(header) "." base64url(payload), as ASCII text.

    Raises Problem `json_text` for a payload with half a character.
    """
    return f"{base64url_text(_utf8(protected_header(kid, typ)))}.{base64url_text(_utf8(payload_text))}"


def low_s(signature):
    """The 64 bytes r || s with the smaller of s and n - s. Raises Problem `signature_form`."""
    r, s = _numbers(bytes(signature))
    return r.to_bytes(32, "big") + min(s, N - s).to_bytes(32, "big")


def finish_jws(kid, typ, payload_text, signature):
    """The compact JWS of `payload_text` with its raw `signature` (64 bytes r || s, any s).

    Raises Problem `signature_form` or `json_text`.
    """
    return f"{signing_input(kid, typ, payload_text)}.{base64url_text(low_s(signature))}"


def read_jws(text, typ):
    """Take apart a compact JWS of the type `typ`: {"kid", "payload_text", "signed", "signature"}, all texts.

    "signed" is what `verify` checks, "signature" base64url. The payload is not parsed and nothing is verified yet.
    Raises Problem `jws_malformed`, `jws_header` or `signature_form` for everything outside the profile.
    """
    parts = text.split(".") if isinstance(text, str) else []
    if len(parts) != 3:
        raise Problem("jws_malformed", why="it has not three parts")
    header, payload_text = (_part(*named) for named in zip(parts, ("header", "payload"), strict=False))
    found = HEADER.fullmatch(header)
    if not found:
        raise Problem("jws_header", why="it is not exactly alg, kid and typ")
    if protected_header(found[1], typ) != header:
        raise Problem("jws_header", why="it is of another type")
    _strict(found[1], "jws_header", "its kid is not base64url")
    signature = _strict(parts[2], "jws_malformed", "the signature is not strict base64url")
    if _numbers(signature)[1] > N // 2:
        raise Problem("signature_form", why="s is not the smaller of the two")
    return {"kid": found[1], "payload_text": payload_text, "signed": f"{parts[0]}.{parts[1]}", "signature": parts[2]}


def verify(read, jwk):
    """Whether `read` (as of `read_jws`) was signed by the key `jwk` (a P-256 public JWK).

    Raises Problem `key_form` for another key; a signature that does not fit is only False.
    """
    check_public_key(jwk)
    try:
        r, s = _numbers(base64url_bytes(read["signature"], "signature"))
        _key(jwk["x"], jwk["y"]).verify(encode_dss_signature(r, s), read["signed"].encode("utf-8"), ec.ECDSA(SHA256()))
    except (Problem, InvalidSignature):
        return False
    return True


@lru_cache(maxsize=256)
def _key(x, y):
    return ec.EllipticCurvePublicNumbers(_coordinate(x, "x"), _coordinate(y, "y"), ec.SECP256R1()).public_key()


def _coordinate(text, name):
    data = _strict(text, "key_form", f"{name} is not strict base64url")
    if len(data) != 32:
        raise Problem("key_form", why=f"{name} is not 32 bytes")
    return int.from_bytes(data, "big")


def _numbers(signature):
    if len(signature) != 64:
        raise Problem("signature_form", why="it is not 64 bytes")
    r, s = int.from_bytes(signature[:32], "big"), int.from_bytes(signature[32:], "big")
    if not (0 < r < N and 0 < s < N):
        raise Problem("signature_form", why="r or s is outside 1 to n - 1")
    return r, s


def _part(text, name):
    data = _strict(text, "jws_malformed", f"the {name} is not strict base64url")
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        raise Problem("jws_malformed", why=f"the {name} is not UTF-8") from None


def _strict(text, code, why):
    try:
        return base64url_bytes(text)
    except Problem:
        raise Problem(code, why=why) from None


def _utf8(text):
    try:
        return text.encode("utf-8")
    except UnicodeEncodeError:
        raise Problem("json_text") from None
