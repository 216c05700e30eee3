"""The command `witnessmark`: reads words, calls what does the work, says what happened and what to do next."""

from pathlib import Path

import click

from . import data_folder, demo, listening
from .cli_audit import audit_command
from .cli_lint import lint_command
from .cli_shop import add_aircraft, add_person, add_tool, choose_code, new_start
from .cli_start import DATA, opened, plainly
from .config import read_settings
from .pdf.check_seal import check_seal
from .pdf.seal import seal_certificate
from .plain_text import card_text, people_table
from .records import cards, template_files, templates
from .records import shop as shops

CARD_FILES = click.argument("files", nargs=-1, required=True, type=click.Path(path_type=Path))
PORT = click.option("--port", type=click.IntRange(1, 65535), help="Without it: $WITNESSMARK_PORT, or 8417.")
HOST = click.option("--host", help="Without it: $WITNESSMARK_HOST, or 127.0.0.1: this machine only.")


@click.group(context_settings={"max_content_width": 110})
def main():
    """Work cards for light piston helicopters: walked offline on a phone, countersigned, released on sealed paper.

    \b
    Look at it:           witnessmark demo
    Start a real shop:    witnessmark init, choose-code, add-person, add-aircraft, load, then serve
    Write a work card:    witnessmark lint card.yaml, then witnessmark load card.yaml

    The program records and computes; the manufacturer's current instructions and the authority's rules govern,
    and a licensed person decides.
    """


for command in (add_person, add_aircraft, add_tool, choose_code, new_start, audit_command, lint_command):
    main.add_command(command)


@main.command("demo")
@click.option("--fresh", is_flag=True, help="Throw the last demo away and start over.")
@DATA
@PORT
@plainly
def demo_command(fresh, data, port):
    """Start an invented shop and print who can sign in.

    The second start keeps what you did in the first. Every aircraft, person, limit and record in it is invented.
    """
    settings = read_settings({"data": data, "port": port, "host": "127.0.0.1"})
    listening.need_free(settings)
    new = data_folder.begin_demo(settings.data, fresh)
    click.echo(f"{'Filling' if new else 'Keeping'} the demo in {settings.data} ...")
    with opened(settings) as app:
        demo.fill(app)
    data_folder.finish_demo(settings.data)
    click.echo(f"\nOpen {listening.address(settings)} and sign in as one of these invented people:\n")
    click.echo(people_table(demo.people()))
    click.echo("\nWho signs sets up signing once on each phone, with a signing code of their own; these will do.")
    click.echo("\nCtrl-C stops it. The next start keeps what you did; --fresh starts over.")
    listening.serve(settings)


@main.command("init")
@DATA
@click.option("--shop", help="The shop's name, as it stands on every paper.")
@plainly
def init_command(data, shop):
    """Make the data folder of a real shop.

    In it: the database, the server id, the photos, the keys that seal the papers and sign the log."""
    settings = read_settings({"data": data, "shop": shop})
    data_folder.claim(settings.data, "shop")
    with opened(settings):
        if not shops.found(settings.shop):
            raise data_folder.WrongFolder(f"{settings.data} is a shop already. Start it with `witnessmark serve`.")
        made = shops.shop()
    click.echo(f"Made the shop {made['name']!r} in {settings.data} (server id {made['server']}).")
    click.echo("Next: witnessmark choose-code, add-person, add-aircraft and load CARD.yaml, then witnessmark serve.")
    click.echo("Back this folder up as a whole.")


@main.command("serve")
@DATA
@HOST
@PORT
@plainly
def serve_command(data, host, port):
    """Serve the shop to browsers on this machine.

    A browser keeps a phone's records only over HTTPS or on localhost. This release serves plain HTTP, for a
    browser on the same machine; HTTPS for the phones on the shop's network comes with a later release.
    """
    settings = read_settings({"data": data, "host": host, "port": port})
    data_folder.need(settings.data)
    listening.need_free(settings)
    click.echo(f"Serving the shop in {settings.data} at {listening.address(settings)}. Ctrl-C stops it.")
    if not settings.loopback:
        click.echo("Phones cannot sign in over plain HTTP: put HTTPS in front of it.", err=True)
    listening.serve(settings)


@main.command("load")
@CARD_FILES
@DATA
@plainly
def load_command(files, data):
    """Put card templates (YAML) into the database.

    Work cards can be issued from them at once. A changed file becomes a new revision; cards issued before keep
    theirs. Loading the same file twice changes nothing.
    """
    settings = read_settings({"data": data})
    data_folder.need(settings.data)
    read = [(path, template_files.read(path)) for path in files]
    with opened(settings):
        for path, template in read:
            click.echo(f"{path}: revision {templates.load(template)[:12]} of {template['title']!r}")


@main.command("new-epoch")
@DATA
@click.confirmation_option(prompt="Was this data folder restored from a backup, and is the server stopped?")
@plainly
def new_epoch_command(data):
    """After restoring a backup: call the phones' entries in.

    The phones may hold entries that are newer than the backup; each offers them again. Run this once, with the
    server stopped, before serving.
    """
    settings = read_settings({"data": data})
    data_folder.need(settings.data)
    with opened(settings):
        click.echo(f"New epoch {shops.new_epoch()}. Start the server; each phone sends what the backup lacks.")


@main.command("show")
@click.argument("card")
@DATA
@plainly
def show_command(card, data):
    """Print the state of a work card, item by item.

    CARD is its number, such as WC-0001, or its id.
    """
    settings = read_settings({"data": data})
    data_folder.need(settings.data)
    with opened(settings):
        ids = {name: found["card"] for found in cards.all_cards() for name in (found["number"], found["card"])}
        if card not in ids:
            there = ", ".join(name for name in ids if name.startswith("WC-")) or "none yet"
            raise click.ClickException(f"There is no work card {card!r} here. There are: {there}.")
        click.echo(card_text(cards.card_facts(ids[card])))


@main.command("verify-seal")
@click.argument("pdf", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@DATA
@plainly
def verify_seal_command(pdf, data):
    """Say whether the seal on a PDF holds.

    It holds when the signature is valid and covers every byte of the file, and, where this machine has the shop's
    data folder, when it was made with that shop's key. Exits with 1 when it does not hold.
    """
    key = read_settings({"data": data}).seal_key
    verdict = check_seal(pdf.read_bytes(), seal_certificate(key.read_bytes()) if key.is_file() else None)
    click.echo(f"{pdf}: the seal {'holds' if verdict['holds'] else 'does NOT hold'}.")
    for finding in verdict["findings"]:
        click.echo(f"  {finding}")
    raise SystemExit(0 if verdict["holds"] else 1)
