"""What the therapist reads of a family between digests."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, tzinfo

from bot.activities.library import Library
from bot.domain.concerns import QuestionRow
from bot.domain.people import Family
from bot.features.formats import quoted, shortened, when_shown
from bot.phrases import Words


@dataclass(frozen=True, slots=True)
class Told:
    """A question with who asked it, and when and how its thread began, where it answers one."""

    question: QuestionRow
    carer: str
    began: tuple[datetime, str] | None
    library: Library


def question_text(told: Told, family: Family, words: Words, reader: tzinfo | None = None) -> str:
    """Return a question as the therapist reads it: who, verbatim, about which card, and how its thread began."""
    found = told.question
    key = {"contact": "therapist.wants_contact", "teachback": "therapist.teachback"}.get(
        found.kind, "therapist.question"
    )
    text = words(key, carer=told.carer, nickname=family.nickname, text=quoted(found.text))
    if found.activity:
        activity = told.library.in_sentence(found.activity, words.language)
        text += "\n" + words("therapist.about_card", activity=activity)
    if told.began:
        at, said = told.began
        text += "\n" + words("thread.began", when=when_shown(at, family, words, reader), text=shortened(said))
    return text
