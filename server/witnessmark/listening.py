"""Listening on an address: is it free, and granian serving the app there until Ctrl-C."""

import errno
import os
import signal
import socket

from granian import Granian
from granian.constants import Interfaces
from granian.log import LogLevels


class CannotListen(Exception):
    """The address cannot be had. The message says what to do instead."""


def address(settings):
    host = "localhost" if settings.loopback else settings.host
    return f"http://{f'[{host}]' if ':' in host else host}:{settings.port}/"


def need_free(settings):
    """Raises CannotListen when the address is taken, before anything is filled or thrown away."""
    family, number = _numeric(settings)
    with socket.socket(family) as probe:
        if os.name == "posix":
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((number, settings.port))
        except OSError as error:
            raise CannotListen(_why(settings, error)) from error


def _numeric(settings):
    """(family, numeric address) of the host name; granian takes nothing else."""
    try:
        family, _, _, _, place = socket.getaddrinfo(settings.host, settings.port, type=socket.SOCK_STREAM)[0]
    except OSError as error:
        raise CannotListen(f"Nobody knows the host {settings.host!r}. Use --host 127.0.0.1 or leave it out.") from error
    return family, place[0]


def _why(settings, error):
    if error.errno == errno.EADDRINUSE:
        return (
            f"Port {settings.port} is taken, perhaps by a Witnessmark that still runs. "
            f"Stop that one, or choose another with --port {settings.port + 1}."
        )
    if error.errno == errno.EACCES:
        return f"This user may not open port {settings.port}. Choose one above 1023 with --port."
    return f"Cannot listen on {settings.host}: {error.strerror}. Use --host 127.0.0.1 for this machine only."


def serve(settings):
    """Serve until Ctrl-C, in a child process that may be forked: close every database connection before."""
    os.environ.update(settings.environment())
    server = Granian(
        "witnessmark.serve:app",
        address=_numeric(settings)[1],
        port=settings.port,
        interface=Interfaces.WSGI,
        workers=1,
        blocking_threads=settings.threads,
        websockets=False,
        workers_kill_timeout=5,
        log_level=LogLevels.error,
    )

    @server.on_startup
    def end_with_the_terminal():
        # granian reloads on SIGHUP: a closed terminal would leave a server nobody sees, holding the port.
        if hasattr(signal, "SIGHUP"):
            signal.signal(signal.SIGHUP, server.signal_handler_interrupt)

    server.serve()
