"""What the page shows, as plain JSON: three phones, the baby's day, what was read and why a reminder came."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from bot.domain.people import Family
from bot.domain.reminders import Reminder
from bot.phrases import Words, words_for
from bot.phrases.because import because_in_words
from bot.replies.reading import Reading
from bot.storage.unit_of_work import UnitOfWork
from demo.messaging.views import MessageView
from demo.page.week import PHONES, SPEEDS, Week
from scheduling.reasons import Because

BABY = "pip"  # whose day is drawn
MOST_SHOWN = 60  # messages of one phone

Json = dict[str, Any]


def state_of(week: Week, language: str) -> Json:
    """Return everything that the page shows at this moment, its own words in `language`."""
    words = words_for(language)
    with week.store.read() as uow:
        family = uow.families.get(BABY)
        zones = {
            carer.chat_id: uow.families.get(carer.family_id)
            for chat_id in PHONES
            for carer in uow.carers.in_chat(chat_id)
        }
        return {
            "changed": week.changed,
            "running": week.running,
            "speed": week.speed,
            "speeds": SPEEDS,
            "over": week.over,
            "now": family.local(week.now).isoformat(timespec="minutes"),
            "day": _day(week, uow, family, words),
            "phones": [_phone(week, uow, chat_id, zones.get(chat_id, family), words) for chat_id in PHONES],
        }


def _phone(week: Week, uow: UnitOfWork, chat_id: int, family: Family, words: Words) -> Json:
    messages = week.server.people[chat_id].messages()
    return {
        "id": chat_id,
        "name": week.scenario.names[chat_id],
        "taken": chat_id in week.household.taken,
        "messages": [_message(week, uow, each, family, words) for each in messages[-MOST_SHOWN:]],
    }


def _message(week: Week, uow: UnitOfWork, message: MessageView, family: Family, words: Words) -> Json:
    at = family.local(datetime.fromtimestamp(message.at, family.zone))
    number = week.readings.reminder_of(message.chat_id, message.message_id)
    reminder = uow.reminders.find(number) if number is not None else None
    reading = None if message.by_bot else week.readings.of(message.chat_id, message.message_id)
    return {
        "id": message.message_id,
        "mine": not message.by_bot,
        "at": at.isoformat(timespec="minutes"),
        "html": message.html,
        "kind": message.kind,
        "file": f"files/{message.chat_id}/{message.message_id}" if message.kind == "photo" else None,
        "buttons": [[{"text": b.text, "data": b.data} for b in row if b.data] for row in message.buttons],
        "why": _why(reminder, words),
        "read": None if reading is None else _read(reading, week, words),
    }


def _why(reminder: Reminder | None, words: Words) -> str | None:
    if reminder is None or reminder.because is None:
        return None
    return because_in_words(Because(**reminder.because), words)


def _read(reading: Reading, week: Week, words: Words) -> Json:
    """Return a reading with the names that the program has for what it found."""
    read: Json = reading.as_json()
    for entry in read["entries"]:
        entry["name"] = entry["activity"] and week.library.name(entry["activity"], words.language)
    if reading.request is not None and reading.request.activity is not None:
        read["request"]["name"] = week.library.name(reading.request.activity, words.language)
    read["observations"] = [words.plain(f"observed.{each.kind}") for each in reading.observations]
    if reading.skipped is not None:
        read["skipped"] = words.plain(f"digest.skip_{reading.skipped}")
    return read


def _day(week: Week, uow: UnitOfWork, family: Family, words: Words) -> Json:
    now = family.local(week.now)
    plan = uow.plans.get(family.id).plan
    sent = uow.reminders.on_day(family.id, now.date())
    return {
        "baby": family.nickname,
        "now": now.hour * 60 + now.minute,
        "awake": plan.awake,
        "feeds": plan.feeds,
        "reminders": [
            {
                "at": local.hour * 60 + local.minute,
                "state": each.state,
                "name": week.library.name(each.activity, words.language),
                "minutes": each.minutes,
                "why": _why(each, words),
            }
            for each in sent
            if each.state != "dropped"
            for local in [family.local(each.sent_at or each.due_at)]
        ],
    }
