"""underwing enrol: a clinic's first therapist, and any other, by a one-time link."""

from __future__ import annotations

import typer

from bot.commands.options import AsJson, EnvFile


def enrol(
    name: str = typer.Option(help="The therapist's name, as families read it."),
    language: str = typer.Option("en", help="The language they read: en or es."),
    clinic: str | None = typer.Option(None, help="The clinic's name, where there is no clinic yet."),
    zone: str | None = typer.Option(None, help="The clinic's IANA time zone, like America/Halifax."),
    emergency_line: str | None = typer.Option(None, help="Whom families call in an emergency."),
    nurse_line: str | None = typer.Option(None, help="Whom families call the same day."),
    crisis_line: str | None = typer.Option(
        None, help="Whom a carer in a crisis calls; the emergency line where none is given."
    ),
    again: bool = typer.Option(
        False, "--again", help="A new code for a therapist of that name who lost theirs."
    ),
    another: bool = typer.Option(False, "--another", help="A second therapist of the same name."),
    as_json: AsJson = False,
    env_file: EnvFile = None,
) -> None:
    """Enrol a therapist: print a one-time link and code. The first one makes the clinic too."""
    from bot.commands.work.enrol import run

    new_clinic = {
        "name": clinic,
        "time_zone": zone,
        "emergency_line": emergency_line,
        "nurse_line": nurse_line,
        "crisis_line": crisis_line,
    }
    run(name, language, new_clinic, env_file, again=again, another=another, as_json=as_json)
