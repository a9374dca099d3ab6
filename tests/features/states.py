"""A family at one moment, made by hand, for the rules' tests: no database, no chat."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from bot.domain.dialogs import DialogState
from bot.domain.entries import LogEntry
from bot.domain.ids import ChatId, OutboxId
from bot.domain.people import Carer, Family
from bot.domain.reminders import Copy, Reminder
from bot.domain.subject import Subject
from bot.features.state import CarerState
from scheduling.plan import plan_from
from tests.journeys.conftest import CASELOAD

HALIFAX = ZoneInfo("America/Halifax")
NOW = datetime(2026, 3, 2, 10, 50, tzinfo=HALIFAX)
TODAY = NOW.date()
PLAN = plan_from(CASELOAD["families"][0]["plan"])
MUM_CHAT, GRANDPA_CHAT = 5001, 5002


def family(**changes: Any) -> Family:
    nothing = dict.fromkeys(
        [
            "paused_until",
            "asleep_until",
            "hold_until",
            "rest_until",
            "budget",
            "budget_on",
            "heard_at",
            "kind_note_at",
            "silence_told_at",
            "shape_told_at",
            "shape_draft",
            "home_zone",
            "away_until",
        ]
    )
    values: dict[str, Any] = {
        **nothing,
        "id": "f1",
        "therapist_id": "t1",
        "nickname": "Pip",
        "zone": HALIFAX,
        "state": "active",
        "asked_load": 0,
        "group_allowed": False,
    }
    known = set(Family.__dataclass_fields__)
    return Family(**{name: value for name, value in (values | changes).items() if name in known})


def carer(carer_id: str = "c1", chat_id: int | None = MUM_CHAT, name: str = "Mum", **changes: Any) -> Carer:
    values: dict[str, Any] = {
        "family_id": "f1",
        "id": carer_id,
        "chat_id": chat_id,
        "name": name,
        "role": "parent",
        "language": "en",
        "state": "active",
        "gets_prompts": True,
        "off_duty_until": None,
        "on_duty_until": None,
        "blocked": False,
    }
    return Carer(**(values | changes))


MUM = carer()
GRANDPA = carer("c2", GRANDPA_CHAT, "Grandpa", language="es")


def reminder(number: int = 7, **changes: Any) -> Reminder:
    """Return a reminder for tummy time that was sent twenty minutes ago and is open."""
    values: dict[str, Any] = {
        "id": number,
        "family_id": "f1",
        "activity": "tummy_time",
        "local_date": TODAY,
        "side": None,
        "minutes": 10,
        "moment": None,
        "because": {},
        "due_at": NOW - timedelta(minutes=20),
        "late_after": NOW + timedelta(minutes=10),
        "state": "sent",
        "sent_at": NOW - timedelta(minutes=20),
    }
    return Reminder(**(values | changes))


def entry(number: int = 3, minutes: float | None = 10, **changes: Any) -> LogEntry:
    """Return a counted entry of tummy time that Mum's message 40 logged an hour ago."""
    values: dict[str, Any] = {
        "id": number,
        "family_id": "f1",
        "carer_id": "c1",
        "message_id": 40,
        "reminder_id": None,
        "activity": "tummy_time",
        "minutes": minutes,
        "side": None,
        "local_date": TODAY,
        "at": NOW - timedelta(hours=1),
        "state": "counted",
        "twin_of": None,
        "logged_at": NOW - timedelta(hours=1),
    }
    return LogEntry(**(values | changes))


def copy(outbox_id: int, chat_id: int = MUM_CHAT, of: int = 7, *, sent: bool = True) -> Copy:
    return Copy(
        OutboxId(outbox_id), ChatId(chat_id), Subject.of("reminder", of), sent, NOW - timedelta(minutes=20)
    )


def state(**changes: Any) -> CarerState:
    """Return Mum's view of Pip's family with nothing logged and no reminder out."""
    plain = CarerState(
        now=NOW,
        family=family(),
        carer=MUM,
        carers=(MUM, GRANDPA),
        dialog=DialogState(),
        chat_id=ChatId(MUM_CHAT),
        plan=PLAN,
    )
    return replace(plain, **changes)


def yesterday() -> date:
    return TODAY - timedelta(days=1)
