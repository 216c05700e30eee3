"""What the rendering child takes from itself before it looks at anything: network, files, memory, time.

Best effort by design: each function says whether the system agreed, and the parent logs it. Linux gives all of it to
an ordinary user in most places; elsewhere the scrubbed environment, the fetcher and the parent's time limit remain.
"""

import ctypes
import os
import struct
import sys

try:
    import resource
except ImportError:  # Windows has no such limits.
    resource = None

MEMORY = 1536 * 1024 * 1024
FILE = 16 * 1024 * 1024
OPEN_FILES = 64
CLONE_NEWUSER = 0x10000000
CLONE_NEWNET = 0x40000000
PR_SET_NO_NEW_PRIVS = 38
# Landlock, linux/landlock.h: the same three call numbers on every architecture.
CREATE_RULESET, ADD_RULE, RESTRICT_SELF = 444, 445, 446
PATH_BENEATH = 1
EXECUTE, READ_FILE, READ_DIR = 1 << 0, 1 << 2, 1 << 3
EVERY_ACCESS = (1 << 13) - 1


def cut_network():
    """Leave the machine's network for an empty one. True when the kernel agreed (Linux; not in every container)."""
    unshare = getattr(_system(), "unshare", None)
    if unshare is None:
        return False
    # Alone it needs privilege; together with a user namespace of its own, an ordinary user may.
    return unshare(CLONE_NEWNET) == 0 or unshare(CLONE_NEWUSER | CLONE_NEWNET) == 0


def limit_self():
    """Bound memory, written files and open files. True when the limits hold."""
    if resource is None:
        return False
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    resource.setrlimit(resource.RLIMIT_FSIZE, (FILE, FILE))
    resource.setrlimit(resource.RLIMIT_NOFILE, (OPEN_FILES, OPEN_FILES))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    return True


def allow_processor(seconds):
    """Let this process use `seconds` more of processor time; beyond, the kernel ends it."""
    if resource is not None:
        used = resource.getrusage(resource.RUSAGE_SELF)
        soft = int(used.ru_utime + used.ru_stime) + 1 + seconds
        resource.setrlimit(resource.RLIMIT_CPU, (soft, resource.getrlimit(resource.RLIMIT_CPU)[1]))


def keep_only_files(readable, writable):
    """Give up every file but those beneath these folders, for good. True when the kernel agreed (Landlock, Linux 5.13).

    Files already open stay open.
    """
    system = _system()
    if system is None:
        return False
    attributes = struct.pack("Q", EVERY_ACCESS)
    rules = system.syscall(CREATE_RULESET, attributes, len(attributes), 0)
    if rules < 0:
        return False
    try:
        for folder in readable:
            _allow(system, rules, folder, READ_FILE | READ_DIR | EXECUTE)
        for folder in writable:
            _allow(system, rules, folder, EVERY_ACCESS)
        return (system.prctl(PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0) == 0
                and system.syscall(RESTRICT_SELF, rules, 0) == 0)
    finally:
        os.close(rules)


def _allow(system, rules, folder, access):
    if not os.path.isdir(folder):
        return
    handle = os.open(folder, os.O_PATH | os.O_CLOEXEC)
    try:
        system.syscall(ADD_RULE, rules, PATH_BENEATH, struct.pack("=Qi", access, handle), 0)
    finally:
        os.close(handle)


def _system():
    return ctypes.CDLL(None, use_errno=True) if sys.platform.startswith("linux") else None
