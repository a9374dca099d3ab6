"""What the page shows, as JSON: the clock, the phones, the baby's day, the digest."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from babel.dates import format_datetime

from bot.domain.ids import ChatId, FamilyId
from bot.phrases import Language
from bot.storage.unit_of_work import UnitOfWork
from demo.messaging.views import MessageView
from demo.page.explain import Explainer, Note
from demo.page.tour import GRANDFATHER, MOTHER, THERAPIST
from demo.page.world import SPEEDS, World

MOST_MESSAGES = 60  # of a phone, the newest
FAMILY = FamilyId("pip")
PHONES: tuple[tuple[int, str, Language], ...] = (
    (MOTHER, "mother", "en"),
    (GRANDFATHER, "grandfather", "es"),
    (THERAPIST, "therapist", "en"),
)


class Snapshot:
    """Makes what the page shows at one moment."""

    def __init__(self, world: World) -> None:
        self._world, self._explainer = world, Explainer(world.week)

    def made(self, language: Language) -> dict[str, Any]:
        """Return the whole state. language: of the page's own words, not of the phones'."""
        world, week = self._world, self._world.week
        with week.store.read() as uow:
            zone = uow.families.get(FAMILY).zone
            return {
                "version": world.version,
                "clock": {
                    "running": world.running,
                    "speed": world.speed,
                    "speeds": SPEEDS,
                    "over": world.over,
                    "shown": _moment(world.now, zone, language, "EEEE HH:mm"),
                },
                "phones": [self._phone(uow, *each, zone, language) for each in PHONES],
                "day": self._day(uow, zone, language),
                "digest": self._digest(),
            }

    def _phone(
        self, uow: UnitOfWork, chat_id: int, role: str, own: Language, zone: ZoneInfo, language: Language
    ) -> dict[str, Any]:
        world = self._world
        messages = world.person(chat_id).messages()[-MOST_MESSAGES:]
        return {
            "id": chat_id,
            "name": world.week.residents.scenario.names[chat_id],
            "role": role,
            "language": own,
            "taken": chat_id in world.week.residents.taken,
            "toast": _toast(world.person(chat_id).toasts),
            "messages": [self._message(uow, each, role, own, zone, language) for each in messages],
        }

    def _message(
        self,
        uow: UnitOfWork,
        view: MessageView,
        role: str,
        own: Language,
        zone: ZoneInfo,
        language: Language,
    ) -> dict[str, Any]:
        note: Note | None = None
        if role != "therapist" and view.by_bot and view.kind == "text":
            reminder = self._explainer.reminder(uow, ChatId(view.chat_id), view.message_id)
            note = self._explainer.why(reminder, language) if reminder else None
        elif role != "therapist" and not view.by_bot:
            note = self._explainer.read(uow, ChatId(view.chat_id), view.message_id, view.text, own)
        at = datetime.fromtimestamp(view.at, zone)
        return {
            "id": view.message_id,
            "mine": not view.by_bot,
            "at": _moment(at, zone, language, "EEE HH:mm"),
            "edited": view.edited_at is not None and bool(view.text),
            "kind": view.kind,
            "html": view.html,
            "file": f"/file/{view.file_id}" if view.file_id else None,
            "buttons": [[asdict(button) for button in line] for line in view.buttons],
            "note": asdict(note) if note else None,
        }

    def _day(self, uow: UnitOfWork, zone: ZoneInfo, language: Language) -> dict[str, Any]:
        """The baby's day in minutes of the wall clock."""
        local = self._world.now.astimezone(zone)
        plan = uow.plans.get(FAMILY).plan
        reminders = uow.reminders.on_day(FAMILY, local.date())
        return {
            "now": local.hour * 60 + local.minute,
            "awake": [list(span) for span in plan.awake],
            "feeds": list(plan.feeds),
            "reminders": [
                {
                    "at": _minute((each.sent_at or each.due_at).astimezone(zone)),
                    "state": each.state,
                    "activity": each.activity,
                    "name": self._world.week.library.name(each.activity, language),
                    "side": each.side,
                    "minutes": each.minutes,
                }
                for each in reminders
                if each.state != "dropped"
            ],
        }

    def _digest(self) -> dict[str, Any] | None:
        pictures = [
            each for each in self._world.person(THERAPIST).messages(by_bot=True) if each.kind == "photo"
        ]
        if not pictures:
            return None
        newest = pictures[-1]
        return {"picture": f"/file/{newest.file_id}", "text": newest.html, "document": "/document.pdf"}


def _toast(toasts: Sequence[dict[str, Any]]) -> dict[str, Any]:
    """What answered the last press, and how many presses were answered so far."""
    return {"count": len(toasts), "text": str(toasts[-1].get("text") or "") if toasts else ""}


def _minute(at: datetime) -> int:
    return at.hour * 60 + at.minute


def _moment(at: datetime, zone: ZoneInfo, language: Language, pattern: str) -> str:
    return str(format_datetime(at.astimezone(zone), pattern, locale=language))
