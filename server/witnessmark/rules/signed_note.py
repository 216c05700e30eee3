"""Checkpoints of the log as signed notes (C2SP tlog-checkpoint and signed-note), signed with Ed25519 (RFC 8032).

    <origin>                      the body: three lines, this is what is signed
    <size, decimal>
    <root, base64>
                                  an empty line
    — <name> <base64>             one or more signatures: 4 bytes of key id, then the signature
"""

import base64
import hashlib
import re

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

from .base64url import base64url_bytes
from .problems import Problem
from .strict_json import SAFE_INTEGER

ED25519 = b"\x01"
HASH = re.compile(r"[0-9a-f]{64}")
SIGNATURE = re.compile(r"[0-9a-f]{128}")
ORIGIN = re.compile(r"[ -~]+")
NAME = re.compile(r"[!-*,-~]+")
SIZE = re.compile(r"0|[1-9][0-9]{0,15}")
BASE64 = re.compile(r"(?:[A-Za-z0-9+/]{4})*(?:[A-Za-z0-9+/]{2}==|[A-Za-z0-9+/]{3}=)?")
LINE = re.compile(r"— ([^ ]+) ([^ ]+)")


def checkpoint_text(origin, size, root):
    """The body for a tree of `size` leaves with `root` (hex) in the log `origin`. Raises Problem `note_malformed`."""
    _matches(ORIGIN, origin, "the origin is not one line of ASCII")
    if type(size) is not int or not 0 <= size <= SAFE_INTEGER:
        raise Problem("note_malformed", why="the size is not a whole number up to 2^53 - 1")
    _matches(HASH, root, "the root is not 32 bytes")
    return f"{origin}\n{size}\n{base64.b64encode(bytes.fromhex(root)).decode()}\n"


def read_checkpoint(note):
    """Take apart a signed note: {"origin", "size", "root" (hex), "body", "signatures"}; nothing is verified yet.

    "signatures" is a list of {"name", "key_id" (8 hex digits), "signature" (base64 without the key id)}. A body with
    further lines is refused, as this log writes none. Raises Problem `note_malformed`.
    """
    lines = note.split("\n") if isinstance(note, str) else []
    if len(lines) < 6 or lines[3] or lines[-1]:
        raise Problem("note_malformed", why="it is not three lines, an empty line and signatures")
    _matches(ORIGIN, lines[0], "the origin is not one line of ASCII")
    _matches(SIZE, lines[1], "the size is not a plain decimal number")
    root = _base64(lines[2], "the root is not strict base64")
    return {"origin": lines[0], "size": int(lines[1]), "root": root.hex(),
            "body": checkpoint_text(lines[0], int(lines[1]), root.hex()),
            "signatures": [_signature(line) for line in lines[4:-1]]}


def key_id(name, public_key):
    """The id of the Ed25519 key `public_key` (64 hex digits) under `name`: 8 hex digits.

    Raises Problem `note_malformed`.
    """
    _matches(NAME, name, "the name of the key holds a space, a plus sign or no ASCII")
    _matches(HASH, public_key, "the key is not 32 bytes")
    return hashlib.sha256(name.encode() + b"\n" + ED25519 + bytes.fromhex(public_key)).hexdigest()[:8]


def signature_line(name, public_key, signature):
    """The line, with its line end, for `signature` (128 hex digits) over a body; the note is body, "\\n", this line.

    Raises Problem `note_malformed`.
    """
    _matches(SIGNATURE, signature, "the signature is not 64 bytes")
    data = bytes.fromhex(key_id(name, public_key) + signature)
    return f"— {name} {base64.b64encode(data).decode()}\n"


def verify_note(note, name, public_key):
    """Whether the Ed25519 key `public_key` (64 hex digits), known as `name`, has signed `note`.

    Lines of other keys are ignored. Raises Problem `note_malformed`.
    """
    known = key_id(name, public_key)
    read = read_checkpoint(note)
    own = [one for one in read["signatures"] if one["name"] == name and one["key_id"] == known]
    key = Ed25519PublicKey.from_public_bytes(bytes.fromhex(public_key))
    return bool(own) and all(_fits(key, base64.b64decode(one["signature"]), read["body"]) for one in own)


def _fits(key, signature, body):
    try:
        key.verify(signature, body.encode("ascii"))
    except InvalidSignature:
        return False
    return True


def _signature(line):
    found = LINE.fullmatch(line)
    if not found:
        raise Problem("note_malformed", why="a signature is not a dash, a name and base64")
    _matches(NAME, found[1], "the name of a key holds a plus sign or no ASCII")
    data = _base64(found[2], "a signature is not strict base64")
    if len(data) <= 4:
        raise Problem("note_malformed", why="a signature is too short")
    return {"name": found[1], "key_id": data[:4].hex(), "signature": base64.b64encode(data[4:]).decode()}


def _matches(pattern, text, why):
    if not isinstance(text, str) or not pattern.fullmatch(text):
        raise Problem("note_malformed", why=why)


def _base64(text, why):
    _matches(BASE64, text, why)
    try:
        return base64url_bytes(text.rstrip("=").replace("+", "-").replace("/", "_"))
    except Problem:
        raise Problem("note_malformed", why=why) from None
