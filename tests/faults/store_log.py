"""Half a record at the end of a Chromium store's log, and how to cut it off.

IndexedDB in Chromium lies on LevelDB. Killed between the head and the body of a record, it leaves half a record. The
next browser reads past it, which is right, and then appends behind it, which is not: the one after that finds a wrong
checksum and destroys the whole store (google/leveldb issue 1287; seen here with Chromium 156, twice in some 120 kills).
No page can prevent it. The format is that of LevelDB's doc/log_format.md: blocks of 32 KiB, in them records of a
checksum, a length and a type.
"""

import os
import struct

BLOCK = 32768
HEAD = struct.Struct("<IHB")
FULL, LAST = 1, 4


def whole_length(data):
    """How many bytes of a log come before the half record at its end; all of them when there is none.

    Fewer than seven bytes at a block's end are filling.
    """
    at = whole = 0
    while at < len(data):
        left = BLOCK - at % BLOCK
        if left < HEAD.size:
            at += left
            continue
        if len(data) - at < HEAD.size:
            return whole
        _, size, kind = HEAD.unpack_from(data, at)
        at += HEAD.size + size
        if at > len(data):
            return whole
        if kind in (FULL, LAST):
            whole = at
    return len(data) if len(data) - whole < HEAD.size else whole


def cut_half_records(store):
    """Cut half a record off the logs in the folder `store`, as LevelDB should. Returns how many were cut."""
    cut = 0
    for path in [*store.glob("*.log"), *store.glob("MANIFEST-*")]:
        data = path.read_bytes()
        whole = whole_length(data)
        if whole < len(data):
            os.truncate(path, whole)
            cut += 1
    return cut
