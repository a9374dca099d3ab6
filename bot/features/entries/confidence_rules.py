"""How sure a carer feels with a hold, and now and then how they do it, in their own words: when to ask, what follows.

A ruler from 0 to 10, where under 7 is worth a talk: Brief Action Planning, JCOM 2014;21(1). "Tell me how you do it"
instead of "did you understand?": teach-back, AHRQ toolkit. The counts and waits below are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from bot.domain.confidence import Asked, AskedKind
from bot.domain.ids import QuestionId
from bot.features.content import Content
from bot.parsing.answers import number_in

TRIES = 3  # counted entries of an activity before the first question
SURE = 7  # under it: the refresher is offered, and the digest shows it
UNSURE = 4  # under it the therapist hears of it at once
ONE_IN = timedelta(days=7)  # at most one such question to a carer
AGAIN_AFTER = timedelta(days=28)
ANSWER_WITHIN = timedelta(hours=12)  # a typed number or a teach-back without a quote
EDITED_WITHIN = timedelta(minutes=5)  # between a message's own time and the answer that was read from it
HIGHEST = 10  # of the ruler


@dataclass(frozen=True, slots=True)
class HowSure(Content):
    """The ruler from 0 to 10."""

    question_id: QuestionId
    activity: str


@dataclass(frozen=True, slots=True)
class TellHow(Content):
    """ "Tell me how you do it"."""

    question_id: QuestionId
    activity: str


@dataclass(frozen=True, slots=True)
class Rated(Content):
    """What is said to a rating."""

    activity: str
    value: int


@dataclass(frozen=True, slots=True)
class NoNeedToTell(Content):
    pass


def next_question(
    asked: Sequence[Asked],
    activity: str,
    tries: Sequence[datetime],
    shown_at: datetime | None,
    now: datetime,
) -> AskedKind | None:
    """Return what to ask a carer after a counted entry of `activity`, or None.

    asked: all such questions to this carer, the oldest first. tries: when each counted entry of the activity was
    logged, this one included. shown_at: when the activity's card was last shown to them.

    At most one question a week. The ruler comes after three tries, after the first try since a refresher, and again
    after four weeks; who felt sure is asked once, later, to tell how they do it.
    """
    if not may_ask(asked, now):
        return None
    own = [each for each in asked if each.activity == activity]
    last = own[-1].asked_at if own else None
    since = sum(1 for at in tries if last is None or at > last)
    if shown_at is not None and (last is None or shown_at > last) and any(at > shown_at for at in tries):
        return "ruler"
    if since < TRIES:
        return None
    rulers = [each for each in own if each.kind == "ruler"]
    if not rulers or now - rulers[-1].asked_at >= AGAIN_AFTER:
        return "ruler"
    felt_sure = rulers[-1].value is not None and rulers[-1].value >= SURE
    return "teachback" if felt_sure and len(rulers) == len(own) else None


def may_ask(asked: Sequence[Asked], now: datetime) -> bool:
    """Say whether a carer may be asked anything of this kind now."""
    return not asked or now - asked[-1].asked_at >= ONE_IN


def therapist_hears(question: Asked, value: int) -> bool:
    """Say whether a rating is so low that the therapist hears of it at once, and has not yet."""
    return value < UNSURE and (question.value is None or question.value >= UNSURE)


def edited_rating(
    asked: Sequence[Asked], before: str, after: str, said_at: datetime
) -> tuple[Asked, int] | None:
    """Return the ruler that an edited number answered, and its new value; None where the edit is something else."""
    old, new = number_in(before, HIGHEST), number_in(after, HIGHEST)
    if old is None or new is None:
        return None
    for question in reversed(asked):
        near = question.at is not None and abs(question.at - said_at) <= EDITED_WITHIN
        if question.kind == "ruler" and near and question.value == old:
            return question, new
    return None
