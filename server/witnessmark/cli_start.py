"""What the commands share: where the data is, the app opened without a server, refusals said plainly."""

import contextlib
import functools

import click

from . import create_app, data_folder, listening
from .config import WrongSetting
from .records.database import DatabaseBusy, DiskFull, WrongDatabase, db
from .rules.problems import Problem

DATA = click.option("--data", metavar="FOLDER", help="Without it: $WITNESSMARK_DATA, or ./.witnessmark.")
REFUSALS = (Problem, WrongSetting, data_folder.WrongFolder, listening.CannotListen, WrongDatabase, DatabaseBusy,
            DiskFull)


@contextlib.contextmanager
def opened(settings):
    """The app with its database open, without a server."""
    app = create_app(settings)
    with app.app_context():
        try:
            yield app
        finally:
            app.extensions["witnessmark_office"].close()
            db.engine.dispose()


def plainly(command):
    """Turn a refusal into one sentence on standard error and exit code 1."""

    @functools.wraps(command)
    def run(*args, **kwargs):
        try:
            return command(*args, **kwargs)
        except REFUSALS as refusal:
            raise click.ClickException(getattr(refusal, "sentence", None) or str(refusal)) from refusal

    return run
