"""What is decided about threads: whom a therapist's words go to, what a quote goes on from, what is said of it. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from bot.domain.concerns import QuestionKind
from bot.domain.ids import CarerId
from bot.domain.people import Carer
from bot.domain.roles import is_day_care, is_group
from bot.domain.subject import Subject
from bot.replies.reading import Reading


def written_to(carers: Sequence[Carer], named: CarerId | None) -> list[Carer]:
    """Return whom words of a therapist go to: the carer who is named, or with nobody named everyone at home; of these only
    who can be written to. Day care and the family's group get no letters."""
    return [
        each
        for each in carers
        if (not (is_day_care(each) or is_group(each)) if named is None else each.id == named)
        and each.state == "active"
        and each.chat_id is not None
        and not each.blocked
    ]


@dataclass(frozen=True, slots=True)
class GoesOn:
    """A reply that goes to the therapist. activity: whose card it is about. thread: what it goes on from."""

    activity: str | None = None
    thread: Subject | None = None


def goes_on(quoted: Subject | None, reading: Reading) -> GoesOn | None:
    """Return what a carer's quote goes on from; None where it is an ordinary reply.

    quoted: what the quoted message was about. Words under a therapist's answer always go to her; words under a card, a plan,
    a concern or a question do, unless they say something of their own: something done, a wish, a concern.
    """
    if quoted is None:
        return None
    if quoted.kind == "answer":
        return GoesOn(thread=quoted.thread)
    if reading.request is not None or reading.entries or reading.concern is not None:
        return None
    if quoted.kind == "card":
        return GoesOn(activity=quoted.key)
    if quoted.kind == "plan":
        return GoesOn()
    return GoesOn(thread=quoted) if quoted.kind in ("concern", "question") else None


def passed_on_line(kind: QuestionKind, *, urgent: bool, reached: bool) -> str:
    """Return the phrase that tells a carer what became of their question. reached: a therapist has a chat to read it in."""
    if not reached:
        return "ask.kept_for"
    if urgent:
        return "howis.passed_on"
    return "ask.contact_passed" if kind == "contact" else "ask.passed_on"
