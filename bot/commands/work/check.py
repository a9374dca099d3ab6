"""What is wrong with this installation, and how to mend it."""

from __future__ import annotations

import asyncio
import shutil
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path

import typer
from telegram.error import InvalidToken, TelegramError

from bot.activities.library import library_of
from bot.clock import RealClock
from bot.commands.answer import answer
from bot.errors import UnderwingError
from bot.messenger.api import make_bot
from bot.messenger.health import untold, untold_line
from bot.messenger.installation import opened
from bot.settings import Settings, load_settings
from bot.storage.damage import damage
from bot.storage.unit_of_work import UnitOfWork
from scheduling.planner import plan_day

UNSEEN_FOR = timedelta(hours=4)
LEAST_FREE = 50_000_000  # bytes; an erasure may write a file of that size anew while serving


@dataclass(slots=True)
class _Found:
    """bot: its name at the messaging service, where that was reached."""

    bot: str | None = None
    problems: list[str] = field(default_factory=list)


def run(env_file: Path | None, *, as_json: bool) -> None:
    found = _look(load_settings(env_file))
    if as_json:
        answer({"bot": found.bot, "problems": found.problems}, (), as_json=True)
    else:
        if found.bot:
            typer.echo(f"The messaging service knows this bot as @{found.bot}.")
        for problem in found.problems:
            typer.echo(problem, err=True)
        if not found.problems:
            typer.echo("All is well.")
    if found.problems:
        raise typer.Exit(1)


def _look(settings: Settings) -> _Found:
    library_of(settings.activities)
    found = asyncio.run(_service(settings))
    found.problems += _disk_problems(settings.data)
    with opened(settings) as store, store.read() as uow:
        broken = damage(uow.conn, store.encryption)
        found.problems += broken
        if broken:
            return found  # the rest would be read from what is broken
        found.problems += _edge_problems(uow)
        found.problems += _caseload_problems(uow)
    return found


def _disk_problems(data: Path) -> list[str]:
    """A full disk stops a bot that serves, while the database can still be read through."""
    folder = next(each for each in (data.absolute(), *data.absolute().parents) if each.exists())
    free = shutil.disk_usage(folder).free
    if free >= LEAST_FREE:
        return []
    return [
        f"The disk of {data} has {free // 1_000_000} MB left: make room, or nothing that families write can be kept."
    ]


async def _service(settings: Settings) -> _Found:
    try:
        token = settings.bot_token()
    except UnderwingError as error:
        return _Found(problems=list(error.problems))
    bot = make_bot(token, settings.api_base, settings.file_base())
    try:
        await bot.initialize()
        return _Found(bot=bot.username)
    except InvalidToken:
        return _Found(
            problems=["The messaging service refuses UNDERWING_TOKEN; check it, or ask for a new one."]
        )
    except TelegramError as error:
        return _Found(
            problems=[
                f"The messaging service is not reached ({error}); check the network and UNDERWING_API_BASE."
            ]
        )
    finally:
        await bot.shutdown()


def _edge_problems(uow: UnitOfWork) -> list[str]:
    found = [
        f"Update {update_id} could not be handled ({error}); its words were passed to the therapist. Report the error."
        for update_id, error in uow.inbox.dead()
    ]
    if counts := untold(uow, RealClock().now()):
        found.append(
            f"Messages {untold_line(counts)}. See the log for the reasons, and tell these people yourself."
        )
    return found


def _caseload_problems(uow: UnitOfWork) -> list[str]:
    if uow.clinics.find() is None:
        return ["No clinic is loaded yet: run underwing load FILE."]
    found = [
        f"Therapist {therapist.id} ({therapist.name}) has no chat yet, so no concern can reach them: have them open "
        "their invitation."
        for therapist in uow.therapists.all()
        if therapist.chat_id is None
    ]
    found += [
        f"Therapist {therapist.id} ({therapist.name}) has blocked the bot: their concerns go to others. Have them write "
        "to the bot, or hand their families over."
        for therapist in uow.therapists.all()
        if therapist.unreachable
    ]
    today = RealClock().now()
    if unseen := uow.concerns.long_unseen(today - UNSEEN_FOR):
        found.append(
            f"{unseen} urgent concerns have been seen by no therapist for {UNSEEN_FOR.total_seconds() / 3600:.0f} hours or "
            "more: have a therapist open /families."
        )
    found += _family_problems(uow, today)
    blocked = uow.carers.count_blocked()
    if blocked:
        found.append(
            f"{blocked} carers cannot be written to: they blocked the bot or have not opened it yet."
        )
    return found


def _family_problems(uow: UnitOfWork, today: datetime) -> list[str]:
    found = []
    for family_id in uow.families.active_ids():
        family = uow.families.find(family_id)
        version = uow.plans.current(family_id)
        if family is None or version is None:
            found.append(f"Family {family_id} has no plan: load one.")
            continue
        if not uow.carers.to_remind(family_id, today):
            found.append(
                f"Family {family_id} has nobody who gets its reminders: have a carer join, or set prompts_to."
            )
        planned = plan_day(version.plan, (family.local(today) + timedelta(days=1)).date())
        if version.plan.activities and not planned.prompts and any(row.short for row in planned.targets):
            found.append(
                f"Family {family_id}: its plan leaves no room for any reminder tomorrow; check awake and quiet."
            )
    return found
