"""The scenario as values: who lives in it, and what they do."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, time, timedelta
from importlib.resources import files
from typing import Any
from zoneinfo import ZoneInfo

import yaml


@dataclass(frozen=True, slots=True)
class Answer:
    """What a person does about a message, `after` it came. tap: the words on a button, "first" for the first one."""

    after: timedelta
    tap: str | None = None
    say: str | None = None
    twice: bool = False
    then_edit: str | None = None
    nothing: bool = False


@dataclass(frozen=True, slots=True)
class Moment:
    """Something a person says by themselves, at an instant."""

    at: datetime
    chat_id: int
    say: str


@dataclass(frozen=True, slots=True)
class Habits:
    """How a person answers reminders, concerns and questions, each list one after the other, starting over."""

    answers: tuple[Answer, ...]
    alerts: tuple[Answer, ...]
    questions: tuple[Answer, ...]


@dataclass(frozen=True, slots=True)
class Scenario:
    """names, zones: by chat. therapists: their chats; they live by the clinic's clock."""

    starts: datetime
    ends: datetime
    caseload: dict[str, Any]
    names: dict[int, str]
    therapists: frozenset[int]
    habits: dict[int, Habits]
    moments: tuple[Moment, ...]
    zones: dict[int, ZoneInfo]


def read_scenario() -> Scenario:
    """Return the scenario that comes with the project."""
    document = yaml.safe_load(files("demo").joinpath("scenario.yaml").read_text(encoding="utf-8"))
    starts = datetime.fromisoformat(document["starts"])
    caseload = document["caseload"]
    zones = {
        carer["chat_id"]: ZoneInfo(family["plan"]["time_zone"])
        for family in caseload["families"]
        for carer in family["carers"]
    }
    names = {
        person["chat_id"]: person["name"]
        for person in [*caseload["therapists"], *(c for f in caseload["families"] for c in f["carers"])]
    }
    moments = [
        Moment(_instant(starts, each["day"], each["at"], zones[chat_id]), chat_id, each["say"])
        for chat_id, person in document["people"].items()
        for each in person.get("moments", [])
    ]
    return Scenario(
        starts=starts,
        ends=starts + timedelta(days=document["days"]),
        caseload=caseload,
        names=names,
        therapists=frozenset(therapist["chat_id"] for therapist in caseload["therapists"]),
        habits={
            chat_id: Habits(*(_answers(person.get(kind, [])) for kind in ("answers", "alerts", "questions")))
            for chat_id, person in document["people"].items()
        },
        moments=tuple(sorted(moments, key=lambda moment: moment.at)),
        zones=zones | _clinics(caseload),
    )


def _clinics(caseload: dict[str, Any]) -> dict[int, ZoneInfo]:
    """Return the zone of each therapist's chat."""
    zone = ZoneInfo(caseload["clinic"]["time_zone"])
    return {therapist["chat_id"]: zone for therapist in caseload["therapists"]}


def _instant(starts: datetime, day: int, at: str, zone: ZoneInfo) -> datetime:
    return datetime.combine(starts.date() + timedelta(days=day), time.fromisoformat(at), zone)


def _answers(listed: list[dict[str, Any]]) -> tuple[Answer, ...]:
    """Return what a person does about one message after the other: the list so often that each wording has its turn."""
    rounds = max((len(each["say"]) for each in listed if isinstance(each.get("say"), list)), default=1)
    return tuple(
        Answer(
            after=timedelta(minutes=each.get("after", 0)),
            tap=each.get("tap"),
            say=_wording(each.get("say"), turn),
            twice=each.get("twice", False),
            then_edit=_wording(each.get("then_edit"), turn),
            nothing=each.get("nothing", False),
        )
        for turn in range(rounds)
        for each in listed
    )


def _wording(said: str | list[str] | None, turn: int) -> str | None:
    return said[turn % len(said)] if isinstance(said, list) else said
