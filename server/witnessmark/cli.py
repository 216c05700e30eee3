"""The command `witnessmark`: reads words, calls what does the work, says what happened and what to do next."""

import functools
import multiprocessing
import os
import socket
import sys
from pathlib import Path

import click

from . import data_folder
from .config import WrongSetting, read_settings
from .rules.problems import Problem

CARD_FILES = click.argument("files", nargs=-1, required=True, type=click.Path(path_type=Path))
DATA = click.option("--data", metavar="FOLDER", help="The data folder. Without it: $WITNESSMARK_DATA, or .witnessmark here.")
PORT = click.option("--port", type=click.IntRange(1, 65535), help="Without it: $WITNESSMARK_PORT, or 8417.")
HOST = click.option("--host", help="Without it: $WITNESSMARK_HOST, or 127.0.0.1: this machine only.")


@click.group()
def main():
    """Work cards for light piston helicopters: walked offline on a phone, countersigned, released on sealed paper.

    \b
    Look at it:           witnessmark demo
    Start a real shop:    witnessmark init, then witnessmark serve
    Write a work card:    witnessmark lint card.yaml, then witnessmark load card.yaml

    The program records and computes; the manufacturer's current instructions and the authority's rules govern,
    and a licensed person decides.
    """


def plainly(command):
    """Turn a refusal into one sentence on standard error and exit code 1."""

    @functools.wraps(command)
    def run(*args, **kwargs):
        try:
            return command(*args, **kwargs)
        except (Problem, WrongSetting, data_folder.WrongFolder) as refusal:
            raise click.ClickException(getattr(refusal, "sentence", None) or str(refusal)) from refusal

    return run


@main.command("demo")
@click.option("--fresh", is_flag=True, help="Throw the last demo away and start over.")
@DATA
@PORT
@plainly
def demo_command(fresh, data, port):
    """Start an invented shop on this machine and print who can sign in.

    The second start keeps what you did in the first. Every aircraft, person, limit and record in it is invented.
    """
    from . import demo

    settings = read_settings({"data": data, "port": port, "host": "127.0.0.1", "shop": demo.SHOP})
    need_free(settings)
    if fresh:
        data_folder.throw_away_demo(settings.data)
    new = data_folder.claim(settings.data, "demo")
    click.echo(f"{'Filling' if new else 'Keeping'} the demo in {settings.data} ...")
    with opened(settings) as app:
        demo.fill(app)
    click.echo(f"\nOpen {address(settings)} and sign in as one of these invented people:\n")
    click.echo(people_table(demo.people()))
    listen(settings)


def people_table(people):
    rows = [("who", "roles", "sign-in name", "password")]
    rows += [(one["name"], ", ".join(one["roles"]), one["login"], one["password"]) for one in people]
    widths = [max(len(row[column]) for row in rows) for column in range(4)]
    return "\n".join("  " + "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)) for row in rows)
