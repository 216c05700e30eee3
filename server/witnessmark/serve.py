"""What granian's worker loads: the app, built from the settings in the environment."""

import multiprocessing
import os
import signal
import threading

from . import create_app
from .config import read_settings


def follow(parent):
    """Leave Ctrl-C to the parent process, and end when it is gone.

    A terminal sends Ctrl-C to every process; granian's worker can hang when that and its parent's own signal meet.
    """
    if hasattr(signal, "pthread_sigmask"):
        signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT, signal.SIGHUP})

    def end():
        parent.join()
        os.kill(os.getpid(), signal.SIGTERM)

    threading.Thread(target=end, daemon=True).start()


if multiprocessing.parent_process():
    follow(multiprocessing.parent_process())

app = create_app(read_settings())
app.extensions["witnessmark_office"].kick()
