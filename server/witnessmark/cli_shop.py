"""The commands that put people and aircraft into a shop, until they are kept on a screen of their own."""

import click

from . import data_folder
from .cli_start import DATA, opened, plainly
from .config import read_settings
from .records import cards, people
from .records.database import writing
from .rules.sign_off import ROLES

SHORTEST_PASSWORD = 15


@click.command("add-person")
@click.argument("login")
@click.option("--name", required=True, help="The name as it is printed with a signature.")
@click.option("--role", "roles", multiple=True, required=True, type=click.Choice(ROLES),
              help="What they do here; give it once for each role.")
@click.option("--certificate", default="", help="The kind of their certificate, as it is printed.")
@click.option("--number", default="", help="The number of their certificate.")
@click.password_option(help="Asked for when it is left out, which keeps it out of the shell's history.")
@DATA
@plainly
def add_person(login, name, roles, certificate, number, password, data):
    """Let a person sign in as LOGIN.

    A mechanic records; an inspector also countersigns and releases; an author issues cards; a reader reads. Who
    may release is decided by their certificate and the local rules: name the roles accordingly.
    """
    settings = read_settings({"data": data})
    data_folder.need(settings.data)
    if len(password) < SHORTEST_PASSWORD:
        raise click.ClickException(f"The password has {len(password)} characters. Take {SHORTEST_PASSWORD} or more, "
                                   "for example four words.")
    if {"mechanic", "inspector"} & set(roles) and not (certificate and number):
        raise click.ClickException("Who records or releases signs with a certificate. Give --certificate and --number.")
    with opened(settings), writing() as session:
        if people.login_taken(login):
            raise click.ClickException(f"There is somebody called {login!r} already. Take another sign-in name.")
        people.add_person(session, {"login": login, "name": name, "roles": roles, "password": password,
                                    "certificate": {"kind": certificate, "number": number}})
    click.echo(f"{name} can sign in as {people.plain_login(login)}.")


@click.command("add-aircraft")
@click.argument("registration")
@click.option("--serial-number", required=True, help="The manufacturer's serial number.")
@click.option("--model", required=True, help="Make and model.")
@DATA
@plainly
def add_aircraft(registration, serial_number, model, data):
    """Put an aircraft into the shop, so that work cards can be issued against it."""
    settings = read_settings({"data": data})
    data_folder.need(settings.data)
    with opened(settings), writing() as session:
        if registration in {one["registration"] for one in cards.all_aircraft()}:
            raise click.ClickException(f"{registration} is in this shop already.")
        cards.add_aircraft(session, {"registration": registration, "serial_number": serial_number, "model": model})
    click.echo(f"{registration} is in the shop. Next: sign in and issue a work card.")
