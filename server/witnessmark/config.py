"""Every setting, once: its name, its default, and why one would change it.

A setting is read from the environment variable `WITNESSMARK_<NAME>`, for example `WITNESSMARK_PORT=9000`;
an option on the command line wins over the environment.
"""

import os
import re
from dataclasses import dataclass, field, fields
from pathlib import Path

PREFIX = "WITNESSMARK_"
PACKAGE = Path(__file__).resolve().parent
# A name with a scheme or a port would match no Host header, silently.
NAMES = re.compile(r"[A-Za-z0-9. ,-]*")
LOOPBACK = ("127.0.0.1", "::1", "localhost")


class WrongSetting(Exception):
    """A setting that cannot be used. The message says which one and what to write instead."""


def _setting(default, why, *, least=None, most=None, choices=None):
    return field(default=default, metadata={"why": why, "least": least, "most": most, "choices": choices})


@dataclass(frozen=True)
class Settings:
    """Sizes are in bytes unless the name says otherwise. Build one with `read_settings`."""

    data: Path = _setting(
        Path(".witnessmark"),
        "The data folder: database, photos, sealed papers, keys. Name a full path on a disk you back up.",
    )
    database: str = _setting(
        "", "Database URL. Empty means the SQLite file in the data folder; change it for another engine."
    )
    host: str = _setting(
        "127.0.0.1", "Address to listen on. Phones cannot reach 127.0.0.1; anything wider needs HTTPS in front."
    )
    hosts: str = _setting(
        "", "More names this server answers to, with commas between: the name of the HTTPS proxy in front of it."
    )
    port: int = _setting(8417, "Port to listen on. Change it when another program has it.", least=1, most=65535)
    threads: int = _setting(
        32, "Requests answered at the same time; a phone on a weak line holds one. Raise it when many phones wait.",
        least=1, most=128,
    )
    shop: str = _setting("Witnessmark shop", "The shop's name on screens and papers, kept when `init` runs.")
    cookie: str = _setting(
        "auto",
        "The sign-in cookie: `auto` sends the plain one only over HTTP on this machine; `secure` never does.",
        choices=("auto", "secure"),
    )
    session_idle_minutes: int = _setting(
        720, "Minutes without a request until a phone must sign in again. Shorten it for shared desks.", least=1
    )
    session_hours: int = _setting(
        168, "Hours until a phone must sign in again whatever happens. Shorten it when phones get lost.", least=1
    )
    max_request: int = _setting(
        1024 * 1024, "Largest request as sent. Raise it only if phones report it as too large.", least=262144
    )
    max_unpacked: int = _setting(
        4 * 1024 * 1024, "Largest sync request once unpacked. Raise it with `max_request`.", least=262144
    )
    max_photo: int = _setting(
        12 * 1024 * 1024, "Largest single photo. Lower it to save disk, raise it for sharper ones.", least=65536
    )
    max_pixels: int = _setting(
        40_000_000, "Most pixels a photo may have, against pictures made to fill the memory.", least=1_000_000
    )
    photo_reserve: int = _setting(
        500_000_000,
        "Photos wait on the phones while less than this is free on their disk, so that entries still arrive. "
        "Lower it on a small disk.",
        least=0,
    )

    @property
    def database_url(self):
        return self.database or f"sqlite:///{self.data / 'witnessmark.sqlite3'}"

    @property
    def names(self):
        """The names this server answers to, besides localhost and addresses, in small letters."""
        return {name.strip().lower() for name in [self.host, *self.hosts.split(",")]} - {""}

    @property
    def seal_key(self):
        return self.data / "seal.p12"

    @property
    def log_key(self):
        return self.data / "log-key.pem"

    @property
    def loopback(self):
        return self.host in LOOPBACK

    def environment(self):
        """These settings as environment variables, for the process that serves."""
        return {PREFIX + f.name.upper(): str(getattr(self, f.name)) for f in fields(self)}


def read_settings(overrides=None, environment=None):
    """Settings from `overrides` (name -> value, None means not given), else the environment, else defaults.

    Raises WrongSetting for a name nobody knows (a misspelt one would silently do nothing) or a bad value.
    """
    environment = os.environ if environment is None else environment
    given = {name[len(PREFIX):].lower(): text for name, text in environment.items() if name.startswith(PREFIX)}
    given |= {name: value for name, value in (overrides or {}).items() if value is not None}
    known = {f.name: f for f in fields(Settings)}
    unknown = sorted(set(given) - set(known))
    if unknown:
        names = ", ".join(PREFIX + name.upper() for name in known)
        raise WrongSetting(f"There is no setting {PREFIX}{unknown[0].upper()}. The settings are: {names}.")
    values = {name: _read(known[name], value) for name, value in given.items()}
    values["data"] = Path(values.get("data", Settings.data)).expanduser().resolve()
    return Settings(**values)


def _read(setting, value):
    name, limits = PREFIX + setting.name.upper(), setting.metadata
    if setting.type is Path:
        if not str(value):
            raise WrongSetting(f"{name} is empty. Write a folder, or leave the setting out.")
        return value
    if setting.type is int:
        return _read_number(name, str(value), limits["least"], limits["most"])
    if setting.name == "hosts" and not NAMES.fullmatch(value):
        raise WrongSetting(f"{name} is {value!r}. Write names without scheme and port, with commas between: "
                           "shop.example, barn.example.")
    if limits["choices"] and value not in limits["choices"]:
        raise WrongSetting(f"{name} is {value!r}. Write one of: {', '.join(limits['choices'])}.")
    return value


def _read_number(name, text, least, most):
    bounds = f"from {least} to {most}" if most else f"of {least} or more"
    if not (text.isascii() and text.isdigit() and len(text) < 16):
        raise WrongSetting(f"{name} is {text!r}. Write a whole number {bounds}.")
    number = int(text)
    if number < least or (most and number > most):
        raise WrongSetting(f"{name} is {number}. Write a whole number {bounds}.")
    return number


def bundled(name):
    """The folder `client`, `checklists` or `demo_data`: inside an installed package, else in the repository."""
    for parent in (PACKAGE, PACKAGE.parents[1]):
        if (parent / name).is_dir():
            return parent / name
    raise WrongSetting(f"The folder {name!r} is missing from this installation. Install Witnessmark again.")
