"""What travels between the server and its rendering child: a JSON head and byte blobs, each with its length in front.

Neither side ever unpickles: a child that was taken over can send nothing but text and bytes.
"""

import json
import struct

LENGTH = struct.Struct(">Q")
LARGEST = 1 << 30


class BrokenFrame(Exception):
    """The other side ended, or sent something that is no frame."""


def write_frame(stream, head, blobs=()):
    """Send `head` (a JSON object) and `blobs` (bytes). Raises OSError when the other side is gone."""
    blobs = list(blobs)
    text = json.dumps({"head": head, "blobs": len(blobs)}).encode()
    for part in (text, *blobs):
        stream.write(LENGTH.pack(len(part)))
        stream.write(part)
    stream.flush()


def read_frame(stream):
    """(head, blobs) of the next frame. Raises BrokenFrame."""
    try:
        envelope = json.loads(_part(stream))
        return envelope["head"], [_part(stream) for _ in range(envelope["blobs"])]
    except (ValueError, KeyError, TypeError) as error:
        raise BrokenFrame(f"not a frame: {error}") from error


def _part(stream):
    (length,) = LENGTH.unpack(_exactly(stream, LENGTH.size))
    if length > LARGEST:
        raise BrokenFrame(f"a part of {length} bytes")
    return _exactly(stream, length)


def _exactly(stream, length):
    found = stream.read(length)
    if found is None or len(found) != length:
        raise BrokenFrame("the other side ended")
    return found
