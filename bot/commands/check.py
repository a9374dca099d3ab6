"""underwing check: what is wrong with this installation, and how to mend it."""

from __future__ import annotations

import asyncio
from datetime import timedelta

import typer
from sqlalchemy import func, select
from sqlalchemy.ext.asyncio import AsyncConnection
from telegram.error import InvalidToken, TelegramError

from bot.clock import RealClock
from bot.commands.options import EnvFile
from bot.errors import UnderwingError
from bot.messenger.api import make_bot
from bot.messenger.serve import library_of, opened
from bot.records import day, inbox, outbox, people, worries
from bot.records.tables import carers, families
from bot.settings import Settings, load_settings
from scheduling.planner import plan_day

UNSEEN_FOR = timedelta(hours=4)


def check(env_file: EnvFile = None) -> None:
    """Check settings, database, clock and plans; say what is wrong and how to mend it."""
    settings = load_settings(env_file)
    problems = asyncio.run(_problems(settings))
    for problem in problems:
        typer.echo(problem, err=True)
    if problems:
        raise typer.Exit(1)
    typer.echo("All is well.")


async def _problems(settings: Settings) -> list[str]:
    found: list[str] = []
    library_of(settings)
    found += await _service_problems(settings)
    async with opened(settings) as store, store.read() as conn:
        found += await _edge_problems(conn)
        found += await _caseload_problems(conn)
    return found


async def _service_problems(settings: Settings) -> list[str]:
    try:
        token = settings.bot_token()
    except UnderwingError as error:
        return list(error.problems)
    bot = make_bot(token, settings.api_base, settings.file_base())
    try:
        await bot.initialize()
        typer.echo(f"The messaging service knows this bot as @{bot.username}.")
        await bot.shutdown()
    except InvalidToken:
        return ["The messaging service refuses UNDERWING_TOKEN; check it, or ask for a new one."]
    except TelegramError as error:
        return [f"The messaging service is not reached ({error}); check the network and UNDERWING_API_BASE."]
    return []


async def _edge_problems(conn: AsyncConnection) -> list[str]:
    found = [
        f"Update {update_id} could not be handled ({error}); its words were passed to the therapist. Report the error."
        for update_id, error in await inbox.dead(conn)
    ]
    counts = await outbox.counts(conn)
    if counts.get("failed"):
        found.append(
            f"{counts['failed']} messages were refused by the messaging service; see the log for the reasons."
        )
    return found


async def _caseload_problems(conn: AsyncConnection) -> list[str]:
    if await people.clinic(conn) is None:
        return ["No clinic is loaded yet: run underwing load FILE."]
    found = [
        f"Therapist {therapist.id} ({therapist.name}) has no chat yet, so no concern can reach them: have them open "
        "their invitation."
        for therapist in await people.all_therapists(conn)
        if therapist.chat_id is None
    ]
    found += [
        f"Therapist {therapist.id} ({therapist.name}) has blocked the bot: their worries go to others. Have them write "
        "to the bot, or hand their families over."
        for therapist in await people.all_therapists(conn)
        if therapist.unreachable
    ]
    today = RealClock().now()
    if unseen := await worries.long_unseen(conn, today - UNSEEN_FOR):
        found.append(
            f"{unseen} urgent worries have been seen by no therapist for {UNSEEN_FOR.total_seconds() / 3600:.0f} hours or "
            "more: have a therapist open /families."
        )
    family_ids = (await conn.scalars(select(families.c.id).where(families.c.state == "active"))).all()
    for family_id in family_ids:
        family = await people.family(conn, family_id)
        version = await day.plan_of(conn, family_id)
        if family is None or version is None:
            found.append(f"Family {family_id} has no plan: load one.")
            continue
        if not await people.prompted_carers(conn, family_id, today):
            found.append(
                f"Family {family_id} has nobody who gets its reminders: have a carer join, or set prompts_to."
            )
        planned = plan_day(version.plan, (family.local(today) + timedelta(days=1)).date())
        if version.plan.activities and not planned.prompts and any(row.short for row in planned.targets):
            found.append(
                f"Family {family_id}: its plan leaves no room for any reminder tomorrow; check awake and quiet."
            )
    blocked = await conn.scalar(
        select(func.count()).select_from(carers).where(carers.c.blocked_at.is_not(None))
    )
    if blocked:
        found.append(
            f"{blocked} carers cannot be written to: they blocked the bot or have not opened it yet."
        )
    return found
