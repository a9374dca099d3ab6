"""A clinic's first therapist, and any other, by a one-time link."""

from __future__ import annotations

import asyncio
from pathlib import Path
from typing import Literal
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import typer
from telegram.error import TelegramError

from bot.clock import RealClock
from bot.commands.answer import answer
from bot.domain.actor import SERVER
from bot.domain.ids import TherapistId
from bot.domain.people import language_from
from bot.errors import InputProblem, UnderwingError
from bot.messenger.api import make_bot
from bot.messenger.installation import opened
from bot.phrases import LANGUAGES
from bot.settings import Settings, load_settings
from bot.storage import registration
from bot.storage.repositories.invitations import VALID, printed
from bot.storage.unit_of_work import UnitOfWork

LONGEST_NAME = 100

Same = Literal["again", "another", "ask"]  # whether a name that is listed means the same therapist


def run(
    name: str,
    language: str,
    new_clinic: dict[str, str | None],
    env_file: Path | None,
    *,
    again: bool,
    another: bool,
    as_json: bool,
) -> None:
    settings = load_settings(env_file)
    problems = [
        *_name_problems(name),
        *_language_problems(language),
        *_zone_problems(new_clinic["time_zone"]),
    ]
    if problems:
        raise InputProblem(problems)
    code = _enrol(settings, name.strip(), language, new_clinic, same=_same(again=again, another=another))
    show_invitation(settings, f"therapist {name.strip()}", code, as_json=as_json)


def _same(*, again: bool, another: bool) -> Same:
    if again and another:
        raise InputProblem("--again and --another exclude each other: the same therapist, or a second one")
    return "again" if again else "another" if another else "ask"


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
    settings: Settings, name: str, language: str, new_clinic: dict[str, str | None], *, same: Same
) -> str:
    now = RealClock().now()
    with opened(settings) as store, store.write() as uow:
        _need_clinic(uow, new_clinic)
        therapist_id = _listed(uow, name, same)
        what = "therapist invited again"
        if therapist_id is None:
            therapist_id = registration.add_therapist(uow, name=name, language=language_from(language))
            what = "therapist enrolled"
        uow.audit.note(who=SERVER, what=what, now=now, detail=therapist_id)
        return uow.invitations.invite(therapist_id=therapist_id, now=now)


def _need_clinic(uow: UnitOfWork, new_clinic: dict[str, str | None]) -> None:
    if registration.has_clinic(uow):
        if any(new_clinic.values()):
            typer.echo("The clinic is there already and stays as it is; underwing load changes it.", err=True)
        return
    given = {field: (value or "").strip() or None for field, value in new_clinic.items()}
    missing = [field for field, value in given.items() if value is None and field != "crisis_line"]
    if missing:
        raise InputProblem(
            f"There is no clinic yet: give {', '.join(map(_option, missing))} too, and it is made"
        )
    registration.add_clinic(
        uow, crisis_line=given.pop("crisis_line"), **{field: str(value) for field, value in given.items()}
    )


def _listed(uow: UnitOfWork, name: str, same: Same) -> TherapistId | None:
    """Return the id of the therapist whose code is to be made anew, None for a new therapist.

    Raises InputProblem where a therapist of that name is listed and nothing says whether this is the same one, or
    where a new code is asked for and nobody is waiting for it.
    """
    alike = [each for each in uow.therapists.all() if each.name.casefold() == name.casefold()]
    waiting = [each for each in alike if each.chat_id is None]
    if same == "again":
        if len(waiting) == 1:
            return waiting[0].id
        if not alike:
            raise InputProblem(f"--again: no therapist is called {name!r}; leave --again out to enrol them")
        raise InputProblem(
            f"--again: {len(waiting)} therapists called {name!r} are waiting for a code, so it is not clear whose to make anew"
            if waiting
            else f"--again: {name!r} has joined already, and needs no code"
        )
    if alike and same == "ask":
        raise InputProblem(
            f"A therapist called {name!r} is listed already: give --again for a new code in place of a lost one, or "
            "--another for a second person of that name"
        )
    return None


def _option(field: str) -> str:
    return {"name": "--clinic", "time_zone": "--zone"}.get(field, f"--{field.replace('_', '-')}")


def show_invitation(settings: Settings, whom: str, code: str, *, as_json: bool) -> None:
    """Print a one-time invitation: the code for paper, and the link where the bot's name can be learnt."""
    name = asyncio.run(bot_name(settings))
    link = None if name is None else f"https://t.me/{name}?start={code}"
    no_link = "No link: the messaging service was not reached; check UNDERWING_TOKEN with underwing check."
    lines = [
        f"Invitation for {whom}, good for {VALID.days} days, once: {printed(code)}",
        f"  In the chat with the bot: /start {code}",
        f"  Link: {link}" if link else f"  {no_link}",
    ]
    answer({"for": whom, "code": code, "days": VALID.days, "link": link}, lines, as_json=as_json)


async def bot_name(settings: Settings) -> str | None:
    """Return the bot's own name, None where there is no token or the service is not reached."""
    try:
        bot = make_bot(settings.bot_token(), settings.api_base, settings.file_base())
    except UnderwingError:
        return None
    try:
        await bot.initialize()
        return bot.username
    except TelegramError:
        return None
    finally:
        await bot.shutdown()
