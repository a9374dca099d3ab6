"""Lives the weeks: one family of each kind under one plan, on one stage."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from random import Random
from typing import Any
from zoneinfo import ZoneInfo

from bot.activities.library import Library
from bot.digest.lines import rendered, suggestion_section
from bot.digest.week import digest_of
from bot.digest.wording import wording_for
from bot.domain.ids import FamilyId
from bot.phrases import Language, words_for
from bot.storage.caseload_file import Caseload, FamilySection, caseload_from
from bot.storage.reports.facts import facts_of
from bot.storage.store import Store
from bot.storage.unit_of_work import UnitOfWork
from demo.stage import opened
from demo.weeks.figures import ActivityMinutes, Lived, Sent
from demo.weeks.kinds import KINDS, Kind
from demo.weeks.people import LivedFamily, People
from scheduling.plan import Plan, plan_from

FIRST_CHAT = 10**12
WEEK = 7

Progress = Callable[[float, date], None]
"""Told the share of the weeks that is over, and the day."""


@dataclass(frozen=True, slots=True)
class Trial:
    """What is to be lived. starts: a local midnight of the family's zone. language: of the clinic's texts."""

    caseload: Caseload
    family: FamilySection
    starts: datetime
    days: int
    seed: int
    kinds: tuple[Kind, ...] = KINDS
    language: Language = "en"

    @property
    def plan(self) -> Plan:
        return plan_from(self.family.plan)

    @property
    def ends(self) -> datetime:
        return self.starts + timedelta(days=self.days)


def trial_of(caseload: Caseload, family: FamilySection, now: datetime, *, days: int, seed: int) -> Trial:
    """Return a trial from the next Monday on."""
    zone = ZoneInfo(plan_from(family.plan).time_zone)
    today = now.astimezone(zone).date()
    starts = datetime.combine(today + timedelta(days=7 - today.weekday()), time(0), zone)
    return Trial(caseload, family, starts, days, seed)


async def live(trial: Trial, library: Library, progress: Progress) -> list[Lived]:
    """Live the weeks of a trial on one stage; the same trial lives the same weeks."""
    families = [_family(trial, place, kind) for place, kind in enumerate(trial.kinds)]
    caseload = caseload_from(_caseload(trial, families), list(library), where="rehearsal")
    loads: dict[str, list[int]] = {family.id: [] for family in families}
    async with opened(
        caseload, library, trial.starts, trial.ends, lambda server: People(families, server)
    ) as stage:
        while (now := await stage.step()) is not None:
            _note_loads(stage.store, families, loads, now, trial)
            progress(
                (now - trial.starts) / (trial.ends - trial.starts), now.astimezone(trial.starts.tzinfo).date()
            )
        with stage.store.read() as uow:
            return [_lived(uow, trial, family, loads[family.id], library) for family in families]


def _family(trial: Trial, place: int, kind: Kind) -> LivedFamily:
    carers = trial.family.carers
    return LivedFamily(
        id=FamilyId(kind.id),
        kind=kind,
        plan=trial.plan,
        zone=ZoneInfo(trial.plan.time_zone),
        language=carers[0].language,
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
        "clinic": trial.caseload.clinic.model_dump(mode="json"),
        "therapists": [therapist],
        "families": [
            {
                "id": family.id,
                "therapist": "therapist",
                "plan": trial.family.plan,
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
            load = trial.plan.most_prompts if budget is None else budget
            loads[family.id] += [load] * (day + 1 - len(loads[family.id]))


def _lived(uow: UnitOfWork, trial: Trial, lived: LivedFamily, load: list[int], library: Library) -> Lived:
    family = uow.families.get(lived.id)
    last = (trial.ends - timedelta(days=1)).date()
    whole = digest_of(facts_of(uow, family, trial.ends, last=last, days=trial.days)).as_json()
    week = digest_of(facts_of(uow, family, trial.ends, last=last, days=WEEK))
    reminders = uow.reminders.recent(family.id, since=trial.starts.date())
    wording = wording_for(week, words_for(trial.language), lambda each: library.name(each, trial.language))
    return Lived(
        kind=lived.id,
        title=lived.kind.title,
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
