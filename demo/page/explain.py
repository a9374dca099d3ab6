"""What the program made of a message, and why it sent a reminder: its own facts, in words for the page."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from bot.domain.ids import ChatId, FamilyId, ReminderId
from bot.domain.reminders import Reminder
from bot.features.entries.times_rules import by_times
from bot.phrases import Language, Words, words_for
from bot.phrases.because import because_in_words
from bot.replies.reader import read_reply
from bot.replies.reading import Entry, Prompted, Reading, ReplyContext
from bot.storage.unit_of_work import UnitOfWork
from demo.page.words import said
from demo.week import Week
from scheduling.reasons import Because


@dataclass(frozen=True, slots=True)
class Note:
    """What stands under a message. kind: "read" under a reply, "why" under a reminder."""

    kind: str
    lines: tuple[str, ...]


class Explainer:
    """Remembers what it has explained: a message is read once, as it was when it was written."""

    def __init__(self, week: Week) -> None:
        self._week = week
        self._reminders: dict[tuple[int, int], Reminder | None] = {}
        self._readings: dict[tuple[int, int, str], Reading] = {}

    def reminder(self, uow: UnitOfWork, chat_id: ChatId, message_id: int) -> Reminder | None:
        """Return the reminder that one of the bot's messages is."""
        key = (chat_id, message_id)
        if self._reminders.get(key) is None:
            said_as = uow.outbox.said_as(chat_id, message_id)
            about = said_as.about if said_as else None
            is_one = about is not None and about.kind == "reminder"
            self._reminders[key] = uow.reminders.find(ReminderId(about.number)) if about and is_one else None
        return self._reminders[key]

    def why(self, reminder: Reminder, language: Language) -> Note | None:
        """Return the planner's reason, as the numbers have it."""
        if reminder.because is None:
            return None
        return Note("why", (because_in_words(Because(**reminder.because), words_for(language)),))

    def read(
        self, uow: UnitOfWork, chat_id: ChatId, message_id: int, text: str, language: Language
    ) -> Note | None:
        """Return what a carer's message was read as; None for a command or what was not kept."""
        kept = uow.messages.in_chat(chat_id, message_id)
        if text.startswith("/") or kept is None or kept.family_id is None:
            return None
        key = (chat_id, message_id, text)
        if key not in self._readings:
            prompt = uow.reminders.find(kept.reminder_id) if kept.reminder_id else None
            context = _context(uow, kept.family_id, kept.at, prompt, language)
            self._readings[key] = read_reply(text, context)
        return Note("read", tuple(self._in_words(self._readings[key], language)))

    def _in_words(self, reading: Reading, language: Language) -> list[str]:
        words = words_for(language)
        lines = [self._entry(each, words) for each in reading.entries]
        if reading.concern is not None:
            topics = ", ".join(words.plain(f"sign.{each}") for each in reading.concern.topics)
            urgency = said(language, f"urgency_{reading.concern.urgency}")
            lines.insert(0, said(language, "concern", urgency=urgency, topics=topics))
        if reading.unclear is not None:
            lines.insert(0, said(language, "unclear"))
        lines += [words.plain(f"observed.{each.kind}") for each in reading.observations]
        if reading.skipped is not None:
            lines.append(said(language, "skipped", reason=said(language, f"reason_{reading.skipped}")))
        if reading.request is not None:
            lines.append(said(language, f"wants_{reading.request.kind}"))
        if reading.confirm and reading.unclear is None:
            lines.append(said(language, "asks_first"))
        if reading.unread or not lines:
            lines.append(said(language, "not_read"))
        return lines

    def _entry(self, entry: Entry, words: Words) -> str:
        language = words.language
        name = self._week.library.name(entry.activity, language) if entry.activity else "?"
        minutes = "?" if entry.minutes is None else f"{entry.minutes:g}"
        if entry.times is not None:
            line = said(language, "entry_times", n=entry.times, activity=name)
        else:
            line = said(language, "entry", minutes=minutes, activity=name)
        if entry.side is not None:
            line += ", " + words.plain(f"count.{entry.side}")
        if entry.day_offset:
            line += ", " + said(language, "earlier_day", n=-entry.day_offset)
        return line


def _context(
    uow: UnitOfWork, family_id: FamilyId, at: datetime, prompt: Reminder | None, language: Language
) -> ReplyContext:
    family, plan = uow.families.get(family_id), uow.plans.get(family_id).plan
    now = family.local(at)
    return ReplyContext(
        now=now,
        language=language,
        affected_side=plan.baby.affected_side,
        age_weeks=max(0, (now.date() - plan.baby.born).days // 7),
        plan=tuple(each.activity for each in plan.activities),
        prompt=Prompted(prompt.activity, prompt.side, prompt.minutes) if prompt else None,
        times=by_times(plan, now),
    )
