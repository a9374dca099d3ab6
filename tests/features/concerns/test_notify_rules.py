"""Who hears of a family's concerns, in what, and what the carers are told, without a chat."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

import pytest

from bot.domain.concerns import ConcernRow
from bot.domain.ids import ConcernId, FamilyId, TherapistId
from bot.features.concerns import unseen_schedule
from bot.features.concerns.contents import NobodyReached, Notified, Unread
from bot.features.concerns.notify_rules import (
    Alert,
    KeepSpell,
    NoteNotified,
    NoteOutsider,
    Notice,
    TellCarer,
    answered_beside,
    covered,
    decide_notify,
    decide_settle,
)
from tests.features.concerns.cases import CONCERN, MUM, NOW, concern, therapist

ROBIN, ALEX = therapist(1, "Robin"), therapist(2, "Alex")
SPELL = unseen_schedule.joined(None, concern(), "act_now", NOW)


def notice(*told: ConcernRow, **values: Any) -> Notice:
    given: dict[str, Any] = {
        "spell": SPELL,
        "is_new": True,
        "circle": "own",
        "listeners": (ROBIN,),
        "outsiders": frozenset(),
        "keeper": ROBIN,
        "carers": {MUM.id: MUM},
    }
    return Notice(now=NOW, told=told, **(given | values))


def to_carers(*told: ConcernRow, **values: Any) -> list[TellCarer]:
    return [each for each in decide_notify(notice(*told, **values)) if isinstance(each, TellCarer)]


def test_everybody_who_listens_gets_one_message_of_all() -> None:
    told = (concern(), concern(id=8))
    alerts = [
        each for each in decide_notify(notice(*told, listeners=(ALEX, ROBIN))) if isinstance(each, Alert)
    ]
    assert alerts == [Alert((ALEX, ROBIN), told)]


def test_who_hears_only_since_nobody_else_could_is_noted_once_a_message() -> None:
    effects = decide_notify(
        notice(concern(), concern(id=8), listeners=(ALEX,), outsiders=frozenset({ALEX.id}))
    )
    assert [each for each in effects if isinstance(each, NoteOutsider)] == [
        NoteOutsider(TherapistId("t2"), FamilyId("f1"))
    ]


def test_each_that_is_told_is_counted_and_keeps_its_first_time() -> None:
    first = NOW - timedelta(hours=1)
    effects = decide_notify(notice(concern(notified_at=first, notification_count=2), concern(id=8)))
    assert [each for each in effects if isinstance(each, NoteNotified)] == [
        NoteNotified(ConcernId(7), first, 3),
        NoteNotified(ConcernId(8), NOW, 1),
    ]
    assert KeepSpell(SPELL) in effects


def test_a_time_at_which_nobody_could_be_reached_does_not_count() -> None:
    effects = decide_notify(notice(concern(), listeners=()))
    assert not [each for each in effects if isinstance(each, NoteNotified | Alert)]


def test_a_carer_of_many_concerns_gets_one_word() -> None:
    told = to_carers(*(concern(id=7 + n) for n in range(13)))
    assert told == [TellCarer(MUM, Notified("Robin"), "told:7:c1:t1", CONCERN.text)]


def test_once_all_were_told_and_nobody_read_it_the_carer_hears_the_truth() -> None:
    told = to_carers(concern(), circle="clinic", is_new=False)
    assert TellCarer(MUM, Unread(), "unread:7:c1", CONCERN.text) in told
    assert Unread() not in [each.content for each in to_carers(concern(), circle="cover", is_new=False)]


def test_the_carer_is_told_where_nobody_could_be_reached() -> None:
    assert to_carers(concern(), listeners=()) == [
        TellCarer(MUM, NobodyReached("Robin"), "untold:7:c1", CONCERN.text)
    ]


def test_a_carer_who_is_gone_is_told_nothing() -> None:
    assert to_carers(concern(), carers={}) == []


def test_a_press_is_about_what_its_message_showed() -> None:
    unseen = [concern(id=number) for number in (7, 8, 9, 12)]
    assert [each.id for each in covered(unseen, 12, 8)] == [7, 8, 12]
    assert [each.id for each in covered(unseen, 8, None)] == [8]


@pytest.mark.parametrize(
    ("before", "what", "state", "answered", "tells"),
    [
        ("open", "seen", "seen", None, True),
        ("open", "called", "answered", NOW, True),
        ("open", "wrong", "wrong", None, True),
        ("open", "answered", "answered", NOW, False),
        ("answered", "seen", "answered", None, True),
        ("wrong", "seen", "wrong", None, True),
    ],
)
def test_what_a_therapist_does_settles_it(
    before: Any, what: str, state: str, answered: datetime | None, tells: bool
) -> None:
    settled = decide_settle(concern(state=before), what, NOW)
    assert (settled.state, settled.seen_at, settled.answered_at) == (state, NOW, answered)
    assert settled.tell_carer is tells


def test_the_carer_hears_once_that_it_was_read() -> None:
    assert not decide_settle(concern(seen_at=NOW - timedelta(hours=1)), "called", NOW).tell_carer


@pytest.mark.parametrize(
    ("values", "rests"),
    [
        ({"advice": "advice.act_now"}, True),
        ({"advice": None}, False),
        ({"advice": "advice.act_now", "discreet": True}, False),
        ({"advice": "advice.same_day", "urgency": "same_day"}, False),
    ],
)
def test_a_carer_hears_that_reminders_rest_where_they_do(values: dict[str, Any], rests: bool) -> None:
    told = to_carers(concern(**values))

    assert told == [TellCarer(MUM, Notified("Robin", rests), "told:7:c1:t1", CONCERN.text)]


@pytest.mark.parametrize(
    ("beside", "found"),
    [
        ({"state": "answered"}, True),
        ({"state": "seen"}, False),
        ({"state": "open"}, False),
        ({"state": "wrong"}, False),
        ({"state": "answered", "family_id": FamilyId("f2")}, False),
    ],
)
def test_words_that_a_therapist_answered_do_not_come_again_as_something_new(
    beside: dict[str, Any], found: bool
) -> None:
    asked, other = concern(id=9, state="asked"), concern(id=8, **beside)

    assert answered_beside(asked, [asked, other]) == (other if found else None)
