"""underwing enrol: a clinic's first therapist, and any other, by a one-time link."""

from __future__ import annotations

import asyncio
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import typer
from telegram.error import TelegramError

from bot.clock import RealClock
from bot.commands.options import EnvFile
from bot.domain.actor import SERVER
from bot.domain.people import language_from
from bot.errors import InputProblem, UnderwingError
from bot.messenger.api import make_bot
from bot.messenger.serve import opened
from bot.phrases import LANGUAGES
from bot.settings import Settings, load_settings
from bot.storage import registration
from bot.storage.repositories.invitations import VALID, printed

LONGEST_NAME = 100


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
    env_file: EnvFile = None,
) -> None:
    """Enrol a therapist: print a one-time link and code. The first one makes the clinic too."""
    settings = load_settings(env_file)
    problems = [*_name_problems(name), *_language_problems(language), *_zone_problems(zone)]
    if problems:
        raise InputProblem(problems)
    new_clinic = {
        "name": clinic,
        "time_zone": zone,
        "emergency_line": emergency_line,
        "nurse_line": nurse_line,
    }
    code = _enrol(settings, name.strip(), language, new_clinic, (crisis_line or "").strip() or None)
    show_invitation(settings, f"therapist {name.strip()}", code)


def _name_problems(name: str) -> list[str]:
    if 0 < len(name.strip()) <= LONGEST_NAME:
        return []
    return [f"--name {name!r}: give 1 to {LONGEST_NAME} characters"]


def _language_problems(language: str) -> list[str]:
    return [] if language in LANGUAGES else [f"--language {language!r}: give one of {', '.join(LANGUAGES)}"]


def _zone_problems(zone: str | None) -> list[str]:
    try:
        if zone is not None:
            ZoneInfo(zone)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return [f"--zone {zone!r}: must be an IANA zone name such as America/Halifax"]
    return []


def _enrol(
    settings: Settings, name: str, language: str, new_clinic: dict[str, str | None], crisis_line: str | None
) -> str:
    now = RealClock().now()
    with opened(settings) as store, store.write() as uow:
        if registration.has_clinic(uow):
            if crisis_line or any(new_clinic.values()):
                typer.echo(
                    "The clinic is there already and stays as it is; underwing load changes it.", err=True
                )
        else:
            missing = [option for option, value in new_clinic.items() if not (value or "").strip()]
            if missing:
                raise InputProblem(
                    f"There is no clinic yet: give {', '.join(map(_option, missing))} too, and it is made"
                )
            registration.add_clinic(
                uow,
                crisis_line=crisis_line,
                **{key: str(value).strip() for key, value in new_clinic.items()},
            )
        therapist_id = registration.add_therapist(uow, name=name, language=language_from(language))
        uow.audit.note(who=SERVER, what="therapist enrolled", now=now, detail=therapist_id)
        return uow.invitations.invite(therapist_id=therapist_id, now=now)


def _option(field: str) -> str:
    return {"name": "--clinic", "time_zone": "--zone"}.get(field, f"--{field.replace('_', '-')}")


def show_invitation(settings: Settings, whom: str, code: str) -> None:
    """Print a one-time invitation: the code for paper, and the link where the bot's name can be learnt."""
    typer.echo(f"Invitation for {whom}, good for {VALID.days} days, once: {printed(code)}")
    name = asyncio.run(bot_name(settings))
    typer.echo(f"  In the chat with the bot: /start {code}")
    if name is None:
        typer.echo(
            "  No link: the messaging service was not reached; check UNDERWING_TOKEN with underwing check."
        )
    else:
        typer.echo(f"  Link: https://t.me/{name}?start={code}")


async def bot_name(settings: Settings) -> str | None:
    """Return the bot's own name, None where there is no token or the service is not reached."""
    try:
        bot = make_bot(settings.bot_token(), settings.api_base, settings.file_base())
        await bot.initialize()
    except (UnderwingError, TelegramError):
        return None
    name = bot.username
    await bot.shutdown()
    return name
