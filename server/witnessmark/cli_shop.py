"""The commands that put people, aircraft, tools and the local code into a shop."""

from datetime import date

import click

from . import data_folder
from .cli_start import DATA, opened, plainly
from .config import read_settings
from .records import accounts, cards, local_codes, people, tools
from .records.database import writing
from .rules.problems import Problem
from .rules.sign_off import ROLES
from .rules.strict_json import strict_parse


class Day(click.ParamType):
    """A day such as 2026-11-25."""

    name = "day"

    def convert(self, value, param, ctx):
        try:
            return date.fromisoformat(value).isoformat()
        except ValueError:
            self.fail(f"{value!r} is not a day. Write it as 2026-11-25.", param, ctx)


@click.command("add-person")
@click.argument("login")
@click.option("--name", required=True, help="The name as it is printed with a signature.")
@click.option("--role", "roles", multiple=True, required=True, type=click.Choice(ROLES),
              help="What they do here; give it once for each role.")
@click.option("--from", "first", type=Day(), help="The first day of these roles. Without it: from now on.")
@click.option("--until", type=Day(), help="The last day of these roles. Without it: no end.")
@click.option("--certificate", default="", help="The kind of their certificate, as it is printed.")
@click.option("--number", default="", help="The number of their certificate.")
@click.password_option(help="Asked for when it is left out, which keeps it out of the shell's history.")
@DATA
@plainly
def add_person(login, name, roles, first, until, certificate, number, password, data):
    """Let a person sign in as LOGIN.

    A mechanic records; an inspector also countersigns and releases; an author keeps people, tools and sentences;
    a reader reads. Who may release is decided by their certificate and the local rules: name the roles accordingly.
    The first author adds everybody else on the page People.
    """
    settings = read_settings({"data": data})
    data_folder.need(settings.data)
    authorities = [{"role": role, "from": first, "until": until} for role in ROLES if role in roles]
    with opened(settings), writing() as session:
        people.add_person(session, {"login": login, "name": name, "authorities": authorities, "password": password,
                                    "certificate": {"kind": certificate, "number": number}})
    click.echo(f"{name} can sign in as {people.plain_login(login)}.")


@click.command("new-start")
@click.argument("login")
@click.option("--why", default="New start on the server's machine.", show_default=True, help="It stands in the log.")
@click.password_option(help="Asked for when it is left out, which keeps it out of the shell's history.")
@DATA
@plainly
def new_start(login, why, password, data):
    """Give the person who signs in as LOGIN a new password; their sessions and signing keys end.

    An author does the same on the page People, and then a colleague must vouch for each key the person sets up.
    After this command nobody has to: it is for a shop where no colleague can. The log says that it was used.
    """
    settings = read_settings({"data": data})
    data_folder.need(settings.data)
    with opened(settings):
        person = accounts.called(login)
        accounts.start_anew(person, password, why, None)
    click.echo(f"{people.plain_login(login)} has a new password. Next: sign in with it, then set up signing again.")


@click.command("add-tool")
@click.argument("serial")
@click.option("--name", required=True, help="What it is, such as: torque wrench.")
@click.option("--calibrated-until", type=Day(), help="The last day of its calibration. Without it: not calibrated.")
@click.option("--facts", type=click.File("rb"), help="What is known of it, as JSON: what it is used for, its range and "
              "tolerance, the tables of a tensiometer. Without it they stay as they are. The page Tools asks for them.")
@DATA
@plainly
def add_tool(serial, name, calibrated_until, facts, data):
    """Put a tool into the register by its SERIAL number, or change the one that has it.

    A reading taken with a tool out of calibration closes no item.
    """
    settings = read_settings({"data": data})
    data_folder.need(settings.data)
    wanted = {"serial": serial, "name": name, "calibrated_until": calibrated_until}
    if facts is not None:
        wanted["facts"] = _read_facts(facts)
    with opened(settings), writing() as session:
        tools.keep(session, wanted)
    click.echo(f"{name} {serial}: " + (f"calibrated until {calibrated_until}." if calibrated_until
                                       else "in the register, without calibration."))


def _read_facts(file):
    try:
        return strict_parse(file.read().decode("utf-8"))
    except UnicodeDecodeError:
        raise Problem("json_not_text") from None


@click.command("choose-code")
@click.argument("code", required=False)
@DATA
@plainly
def choose_code(code, data):
    """Choose the local code CODE: the sentences that are signed on work cards issued from now on.

    Without CODE it lists those there are. Cards that are issued keep theirs. CODE is a short name such as us, or
    the beginning of a revision.
    """
    settings = read_settings({"data": data})
    data_folder.need(settings.data)
    with opened(settings):
        there = local_codes.all_codes()
        if code is not None:
            there = _chosen(code, there["codes"])
        for one in there["codes"]:
            click.echo(f"{'*' if one['revision'] == there['chosen'] else ' '} {one['code']:8} {one['revision'][:12]}  "
                       f"{one['title']}" + ("  (confirm with your authority before use)" if one["confirm"] else ""))
        if there["chosen"] is None:
            click.echo("None is chosen yet, so no work card can be issued: witnessmark choose-code CODE.")


def _chosen(code, codes):
    named = [one for one in codes if one["code"] == code]
    fitting = named or [one for one in codes if one["revision"].startswith(code)]
    if not fitting or (not named and len(fitting) > 1):
        names = ", ".join(dict.fromkeys(one["code"] for one in codes))
        raise click.ClickException(f"There is no single local code {code!r}. There are: {names}.")
    with writing() as session:
        local_codes.choose(session, fitting[0]["revision"])
    return local_codes.all_codes()


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
