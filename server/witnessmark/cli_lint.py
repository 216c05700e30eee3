"""`witnessmark lint`: what is wrong in a card template, and what a good editor would say of it."""

from pathlib import Path

import click

from .records import template_files
from .rules.lint import findings, overruled_findings
from .rules.problems import Problem


@click.command("lint")
@click.argument("files", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option("--advice", type=click.Choice(["yes", "no"]), default="yes", show_default=True,
              help="Whether to tell advice and what was overruled, too; errors are always told.")
def lint_command(files, advice):
    """Check card templates (YAML) and say what is wrong.

    Each fault is told with its file, zone, item and key, and what to write instead. A card that can be read is then
    held to the rules of good writing: errors must be put right, advice may be overruled on the card with a reason.
    Exits with 1 when a file is wrong or has an error. Nothing is stored.
    """
    results = [_one(path, advice == "yes") for path in files]
    raise SystemExit(0 if all(results) else 1)


def _one(path, tell):
    """Whether the card at `path` is free of faults and errors; tells what was found."""
    try:
        template = template_files.read(path)
    except Problem as problem:
        click.echo("\n".join(problem.fields["faults"]))
        return False
    found, overruled = findings(template), overruled_findings(template)
    for one in found:
        if tell or one["level"] == "error":
            click.echo(f"{path.name}: {one['level']} {_place(one)}: {one['sentence']}")
    for one in overruled if tell else ():
        click.echo(f"{path.name}: overruled {_place(one)}: {one['sentence']} Overruled because: {one['reason']}")
    errors = sum(one["level"] == "error" for one in found)
    counts = [_counted(errors, "error", "errors"), _counted(len(found) - errors, "advice", "pieces of advice"),
              _counted(len(overruled), "overruled", "overruled")]
    items = sum(len(zone["items"]) for zone in template["zones"])
    verdict = "NOT fine" if errors else "fine"
    click.echo(", ".join([f"{path}: {verdict}", _counted(len(template["zones"]), "zone", "zones"),
                          _counted(items, "item", "items"), *(one for one in counts if one)]))
    return not errors


def _counted(count, one, more):
    return count and f"{count} {one if count == 1 else more}"


def _place(finding):
    item = f", item {finding['item']}" if finding["item"] else ""
    return f"{finding['rule']}{item}, {finding['where']}"
