"""Lives the weeks: one family of each kind under one plan, on one stage."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from datetime import datetime, timedelta
from random import Random
from typing import Any
from zoneinfo import ZoneInfo

from bot.activities.library import Library
from bot.digest.lines import rendered, suggestion_section
from bot.digest.week import digest_of
from bot.digest.wording import wording_for
from bot.domain.ids import FamilyId
from bot.phrases import words_for
from bot.rehearsal.figures import ActivityMinutes, Lived, Sent
from bot.rehearsal.living import Trial
from bot.storage.caseload_file import caseload_from
from bot.storage.reports.facts import facts_of
from bot.storage.store import Store
from bot.storage.unit_of_work import UnitOfWork
from demo.stage import opened
from demo.weeks.kinds import BY_ID, KINDS, Kind
from demo.weeks.people import LivedFamily, People

FIRST_CHAT = 10**12
WEEK = 7

Progress = Callable[[float], object]
"""Told the share of the weeks that is over."""


def lived(trial: Trial, library: Library) -> list[Lived]:
    """Live a trial to its end in this thread. The bot finds this by entry point."""
    return asyncio.run(live(trial, library, lambda share: None))


def kinds_of(trial: Trial) -> tuple[Kind, ...]:
    return tuple(BY_ID[kind] for kind in trial.kinds) or KINDS


async def live(trial: Trial, library: Library, progress: Progress) -> list[Lived]:
    """Live the weeks of a trial on one stage; the same trial lives the same weeks."""
    families = [_family(trial, place, kind) for place, kind in enumerate(kinds_of(trial))]
    caseload = caseload_from(_caseload(trial, families), list(library), where="rehearsal")
    loads: dict[str, list[int]] = {family.id: [] for family in families}
    async with opened(
        caseload, library, trial.starts, trial.ends, lambda server: People(families, server)
    ) as stage:
        while (now := await stage.step()) is not None:
            _note_loads(stage.store, families, loads, now, trial)
            progress((now - trial.starts) / (trial.ends - trial.starts))
        progress(1.0)  # the last thing that happens is not the end of the last day
        with stage.store.read() as uow:
            return [_lived(uow, trial, family, loads[family.id], library) for family in families]


def _family(trial: Trial, place: int, kind: Kind) -> LivedFamily:
    plan = trial.as_plan
    return LivedFamily(
        id=FamilyId(kind.id),
        kind=kind,
        plan=plan,
        zone=ZoneInfo(plan.time_zone),
        language=trial.carers,
        chats=tuple(FIRST_CHAT + 10 * place + home for home in range(kind.homes)),
        # Each kind draws from its own stream, so that one more kind changes nothing for the others.
        random=Random(f"{trial.seed} {kind.id}"),
    )


def _caseload(trial: Trial, families: list[LivedFamily]) -> dict[str, Any]:
    """Return the caseload that is lived: this clinic, a therapist, a family of each kind under the one plan."""
    therapist = {
        "id": "therapist",
        "chat_id": FIRST_CHAT - 1,
        "name": "Therapist",
        "language": trial.language,
    }
    return {
        "clinic": dict(trial.clinic),
        "therapists": [therapist],
        "families": [
            {
                "id": family.id,
                "therapist": "therapist",
                "plan": dict(trial.plan),
                "carers": [
                    {
                        "id": f"carer{home}",
                        "chat_id": chat,
                        "name": f"Carer {home + 1}",
                        "language": family.language,
                        "consented": True,
                    }
                    for home, chat in enumerate(family.chats)
                ],
                "prompts_to": [f"carer{home}" for home in range(len(family.chats))],
            }
            for family in families
        ],
    }


def _note_loads(
    store: Store, families: list[LivedFamily], loads: dict[str, list[int]], now: datetime, trial: Trial
) -> None:
    """Note, once a day, how many reminders each family may be sent that day."""
    local = now.astimezone(trial.starts.tzinfo)
    day = (local.date() - trial.starts.date()).days
    if len(loads[families[0].id]) > day:
        return
    with store.read() as uow:
        for family in families:
            budget = uow.families.get(family.id).budget
            load = family.plan.most_prompts if budget is None else budget
            loads[family.id] += [load] * (day + 1 - len(loads[family.id]))


def _lived(uow: UnitOfWork, trial: Trial, lived: LivedFamily, load: list[int], library: Library) -> Lived:
    family = uow.families.get(lived.id)
    last = (trial.ends - timedelta(days=1)).date()
    whole = digest_of(facts_of(uow, family, trial.ends, last=last, days=trial.days)).as_json()
    week = digest_of(facts_of(uow, family, trial.ends, last=last, days=WEEK))
    reminders = uow.reminders.recent(family.id, since=trial.starts.date())
    words = words_for(trial.language)
    wording = wording_for(week, words, lambda each: library.name(each, trial.language))
    return Lived(
        kind=lived.id,
        title=words.plain(f"trying.kind_{lived.kind.id}"),
        days=trial.days,
        sent=tuple(Sent(at.date(), at.hour * 60 + at.minute, fits) for at, fits in lived.timed),
        answered=sum(each.state in ("answered", "later", "skipped") for each in reminders),
        load=tuple(load),
        activities=tuple(
            ActivityMinutes(
                activity=each["activity"],
                name=library.name(each["activity"], trial.language),
                target=each["target_minutes"],
                minutes=each["minutes"] or 0,
                left=each["left"] or 0,
                right=each["right"] or 0,
                unsided=each["unsided"] or 0,
            )
            for each in whole["activities"]
        ),
        digest=tuple(rendered(suggestion_section(week, wording), head=str, line=str)),
    )
