"""Who hears of a concern, when again, and what the carer is told, without a chat."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

import pytest

from bot.domain.concerns import ConcernRow
from bot.features.concerns.contents import NobodyReached, Notified
from bot.features.concerns.notify_rules import (
    MOST_NOTIFICATIONS,
    AlertTherapist,
    NoteNotified,
    NoteOutsider,
    Notice,
    TellCarer,
    decide_notify,
    decide_settle,
)
from tests.features.concerns.cases import MUM, NOW, concern, therapist

ROBIN, ALEX = therapist(1, "Robin"), therapist(2, "Alex")


def notice(found: ConcernRow, **values: Any) -> Notice:
    given: dict[str, Any] = {"listeners": (ROBIN,), "outsiders": frozenset(), "keeper": ROBIN, "carer": MUM}
    return Notice(now=NOW, found=found, **(given | values))


def noted(found: ConcernRow, **values: Any) -> NoteNotified:
    return next(each for each in decide_notify(notice(found, **values)) if isinstance(each, NoteNotified))


def test_who_listens_is_alerted_and_the_carer_hears_the_first_name() -> None:
    found = concern()
    assert decide_notify(notice(found, listeners=(ALEX, ROBIN))) == (
        AlertTherapist(ALEX, found),
        AlertTherapist(ROBIN, found),
        NoteNotified(7, NOW, 1, NOW + timedelta(minutes=10)),
        TellCarer(MUM, Notified("Alex"), "told:7:t2"),
    )


def test_who_hears_of_a_family_that_is_not_theirs_is_written_down() -> None:
    effects = decide_notify(notice(concern(), listeners=(ALEX,), outsiders=frozenset({"t2"})))
    assert NoteOutsider("t2", "f1") in effects


def test_where_nobody_can_be_reached_it_does_not_count_and_is_tried_again_soon() -> None:
    assert decide_notify(notice(concern(), listeners=())) == (
        NoteNotified(7, None, 0, NOW + timedelta(minutes=5)),
        TellCarer(MUM, NobodyReached("Robin"), "untold:7"),
    )


def test_a_carer_who_is_gone_is_told_nothing() -> None:
    effects = decide_notify(notice(concern(), carer=None))
    assert not any(isinstance(each, TellCarer) for each in effects)


@pytest.mark.parametrize(
    ("urgency", "count", "wait"),
    [
        ("act_now", 0, timedelta(minutes=10)),
        ("act_now", 1, timedelta(minutes=20)),
        ("act_now", 2, timedelta(hours=1)),
        ("act_now", 3, timedelta(hours=1)),
        ("same_day", 0, timedelta(hours=1)),
        ("same_day", 1, timedelta(hours=3)),
        ("same_day", 5, timedelta(hours=3)),
    ],
)
def test_the_next_notification_comes_on_the_schedule(urgency: Any, count: int, wait: timedelta) -> None:
    assert noted(concern(urgency=urgency, notification_count=count)).next_at == NOW + wait


def test_the_last_notification_has_none_after_it() -> None:
    assert noted(concern(notification_count=MOST_NOTIFICATIONS)).next_at is None


def test_the_first_notification_keeps_its_time() -> None:
    first = NOW - timedelta(hours=2)
    assert noted(concern(notified_at=first, notification_count=2)).first_at == first


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
