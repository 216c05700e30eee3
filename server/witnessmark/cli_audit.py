"""The command that looks at all records anew, and how a paper's attached record is read for it."""

import io
import json

import click
from pyhanko.pdf_utils.misc import PdfError
from pyhanko.pdf_utils.reader import PdfFileReader

from . import data_folder
from .cli_start import DATA, opened, plainly
from .config import read_settings
from .records.audit import audit

SHOWN = 20


@click.command("audit")
@DATA
@plainly
def audit_command(data):
    """Check every signature, the log, the photos and the papers.

    Everything that can be worked out anew is, and compared with what is kept: one line for each kind, and below it
    what is wrong. Changes nothing; the server may run meanwhile. Exits with 1 when anything is wrong. That the server
    itself has rewritten its history is what the phones find: only they hold older checkpoints.
    """
    settings = read_settings({"data": data})
    data_folder.need(settings.data)
    with opened(settings):
        wrong = sum([_say(line) for line in audit(attached_record)])
    raise SystemExit(1 if wrong else 0)


def attached_record(pdf):
    """The record that is attached to a paper (its PDF bytes), as a value. Raises ValueError."""
    try:
        names = PdfFileReader(io.BytesIO(pdf)).root["/Names"]["/EmbeddedFiles"]["/Names"]
        return json.loads(names[1]["/EF"]["/F"].data)
    except (PdfError, LookupError, TypeError, AttributeError) as error:
        raise ValueError("no record is attached") from error


def _say(line):
    click.echo(f"{line.kind:<14}{line.checked:>9,} checked, {len(line.findings):,} wrong")
    for finding in line.findings[:SHOWN]:
        click.echo(f"    {finding}")
    if len(line.findings) > SHOWN:
        click.echo(f"    ... and {len(line.findings) - SHOWN:,} more")
    return len(line.findings)
