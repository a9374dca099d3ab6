"""Whom a therapist's words go to, and what a carer's quote goes on from."""

from __future__ import annotations

import pytest

from bot.concerns.finding import Concern
from bot.domain.concerns import QuestionKind
from bot.domain.ids import CarerId
from bot.domain.subject import Subject
from bot.features.threads.rules import GoesOn, goes_on, passed_on_line, written_to
from bot.replies.reading import Entry, Reading, Request
from tests.features.states import GRANDPA, MUM, carer

NURSERY = carer("c3", 5003, "Sunny Room", role="day-care")
GROUP = carer("c4", -500, "The family", role="group")
LEFT = carer("c5", 5005, "Aunt", state="left")
BLOCKED = carer("c6", 5006, "Uncle", blocked=True)
INVITED = carer("c7", None, "Neighbour", state="joining")
ALL = [MUM, GRANDPA, NURSERY, GROUP, LEFT, BLOCKED, INVITED]


def test_a_letter_goes_to_everyone_at_home_who_can_be_written_to() -> None:
    assert written_to(ALL, None) == [MUM, GRANDPA]


@pytest.mark.parametrize("role", ["day_care", "day care", "daycare", "day-care", "Day Care"])
def test_no_letter_goes_to_day_care_however_its_role_is_written(role: str) -> None:
    assert written_to([carer(role=role)], None) == []


@pytest.mark.parametrize(
    ("named", "to"),
    [("c1", ["c1"]), ("c3", ["c3"]), ("c4", ["c4"]), ("c5", []), ("c6", []), ("c7", []), ("c9", [])],
)
def test_an_answer_goes_to_who_asked_where_they_can_still_be_written_to(named: str, to: list[str]) -> None:
    assert [each.id for each in written_to(ALL, CarerId(named))] == to


CONCERN, QUESTION, LETTER = Subject.of("concern", 3), Subject.of("question", 4), Subject.of("letter", 5)
SAYS_NOTHING = Reading(unread="thank you, and which pillow?")
SAYS_MINUTES = Reading(entries=(Entry("tummy_time", 8.0, None, 0),))
ASKS = Reading(request=Request("refresher", "football_hold"))
WORRIES = Reading(concern=Concern("same_day", ("fever",)))


@pytest.mark.parametrize(
    ("quoted", "reading", "found"),
    [
        (None, SAYS_NOTHING, None),
        (Subject.answer_in(QUESTION), SAYS_NOTHING, GoesOn(thread=QUESTION)),
        (Subject.answer_in(LETTER), SAYS_MINUTES, GoesOn(thread=LETTER)),
        (Subject.card("football_hold"), SAYS_NOTHING, GoesOn(activity="football_hold")),
        (Subject.card("football_hold"), SAYS_MINUTES, None),
        (Subject.of("plan", 2), SAYS_NOTHING, GoesOn()),
        (Subject.of("plan", 2), ASKS, None),
        (CONCERN, SAYS_NOTHING, GoesOn(thread=CONCERN)),
        (CONCERN, WORRIES, None),
        (QUESTION, SAYS_NOTHING, GoesOn(thread=QUESTION)),
        (Subject.of("reminder", 7), SAYS_NOTHING, None),
        (Subject("digest"), SAYS_NOTHING, None),
    ],
)
def test_a_quote_goes_to_the_therapist_unless_it_says_something_of_its_own(
    quoted: Subject | None, reading: Reading, found: GoesOn | None
) -> None:
    assert goes_on(quoted, reading) == found


@pytest.mark.parametrize(
    ("kind", "urgent", "reached", "line"),
    [
        ("question", False, True, "ask.passed_on"),
        ("contact", False, True, "ask.contact_passed"),
        ("contact", True, True, "howis.passed_on"),
        ("question", True, True, "howis.passed_on"),
        ("question", False, False, "ask.kept_for"),
        ("question", True, False, "ask.kept_for"),
    ],
)
def test_nobody_is_told_that_a_question_was_passed_on_when_no_therapist_can_read_it(
    kind: QuestionKind, urgent: bool, reached: bool, line: str
) -> None:
    assert passed_on_line(kind, urgent=urgent, reached=reached) == line
