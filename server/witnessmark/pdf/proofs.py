"""What lets a reader of a paper check it without the server: the signers' public keys and the log's checkpoint."""

from ..records import keys, log, people
from ..rules.entry import read_entry
from ..rules.signed_note import read_checkpoint


def signing_keys(entries):
    """[{"kid", "jwk", "person", "name"}] of the keys that signed `entries`. Needs the app's context."""
    used, names = {read_entry(entry["text"])["kid"] for entry in entries}, people.names()
    return [{"kid": key["kid"], "jwk": key["jwk"], "person": key["person"], "name": names[key["person"]]}
            for key in keys.all_keys() if key["kid"] in used]


def checkpoint():
    """{"note", "key": hex, "size", "root": hex} of the log as it is now. Needs the app's context.

    Read the entries first: the log then holds the arrival of each of them.
    """
    note = log.note()
    read = read_checkpoint(note)
    return {"note": note, "key": log.public_key(), "size": read["size"], "root": read["root"]}
