"""The key by which this server signs its checkpoints (Ed25519)."""

import os

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from cryptography.hazmat.primitives.serialization import (
    Encoding,
    NoEncryption,
    PrivateFormat,
    load_pem_private_key,
)

from .files import sync_folder


def open_log_key(path):
    """The private key in the file `path`; made there, for its owner alone (0600), when there is none yet.

    Raises ValueError for a file that holds no such key.
    """
    if not path.exists():
        _make(path)
    key = load_pem_private_key(path.read_bytes(), None)
    if not isinstance(key, Ed25519PrivateKey):
        raise ValueError(f"{path.name} holds no Ed25519 key. Restore it from a backup.")
    return key


def _make(path):
    fresh = path.with_name(path.name + ".new")
    with open(os.open(fresh, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "wb") as file:
        file.write(Ed25519PrivateKey.generate().private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption()))
        file.flush()
        os.fsync(file.fileno())
    # Half a key, or a second one after phones have seen the first, would be worse than none.
    os.link(fresh, path)
    os.unlink(fresh)
    sync_folder(path.parent)
