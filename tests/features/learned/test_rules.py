"""What an answer about the day decides, as tables."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from bot.domain.ids import ChatId, FamilyId, OutboxId
from bot.domain.learned import AskedSuggestion, suggestion_as_json, suggestion_from_json
from bot.domain.reminders import Copy
from bot.features.content import Content
from bot.features.effects import Acknowledge, EditCopy, EditLine, Reply
from bot.features.learned import rules
from bot.features.learned.contents import DayLeft, DayMovedOn, TimesKept, TimesLearned
from bot.features.learned.effects import AskForDay, ChangeDay, KeepTimes, SettleSuggestion
from scheduling.learned.suggestion import Evidence, Suggestion
from tests.features import states
from tests.features.states import MUM, NOW, TODAY

PLAN = states.PLAN
TO = ((PLAN.awake[0][0], PLAN.awake[0][1] + 30), *PLAN.awake[1:])
NAP = Suggestion(
    "awake", "nap_moved", PLAN.awake, TO, Evidence(4, 5), "awake", 600, (570, 630), (600, 660)
)  # fmt: skip
ASKED = AskedSuggestion(3, FamilyId("f1"), TODAY, NAP, "asked")
OTHER_COPY = Copy(OutboxId(12), ChatId(5002), ASKED.about, True, NOW - timedelta(hours=1))
COPIES = [
    Copy(OutboxId(11), ChatId(states.MUM_CHAT), ASKED.about, True, NOW - timedelta(hours=1)),
    OTHER_COPY,
]
TIDY = EditCopy(OutboxId(12), ChatId(5002), None, None)


def state(**changes: Any) -> Any:
    return replace(states.state(), pressed=OutboxId(11), **changes)


@pytest.mark.parametrize(
    ("answer", "last"),
    [
        ("yes", ChangeDay(replace(PLAN, awake=TO))),
        ("no", EditLine(OutboxId(11), DayLeft())),
        ("other", AskForDay()),
    ],
)
def test_each_answer_settles_the_question_for_all_carers(answer: rules.Answer, last: object) -> None:
    effects = rules.answered(state(), ASKED, answer, COPIES)

    assert effects == (Acknowledge(), SettleSuggestion(3, answer), TIDY, last)


@pytest.mark.parametrize(
    "asked",
    [
        replace(ASKED, state="no"),
        replace(ASKED, suggestion=replace(NAP, from_value=((0, 60),))),
    ],
)
def test_what_is_settled_or_no_longer_told_changes_nothing(asked: AskedSuggestion) -> None:
    effects = rules.answered(state(), asked, "yes", COPIES)

    assert effects == (Acknowledge(), EditLine(OutboxId(11), DayMovedOn()), TIDY)


def test_day_care_changes_nothing() -> None:
    nursery = replace(MUM, role="daycare")

    assert rules.answered(state(carer=nursery), ASKED, "yes", COPIES) == (Acknowledge(),)
    assert rules.times(state(carer=nursery), keep=True) == (Acknowledge(),)


@pytest.mark.parametrize(("keep", "content"), [(True, TimesKept()), (False, TimesLearned())])
def test_times_are_kept_or_learned_by_tap_and_by_word(keep: bool, content: Content) -> None:
    assert rules.times(state(), keep=keep) == (
        Acknowledge(),
        KeepTimes(keep),
        EditLine(OutboxId(11), content),
    )
    typed = replace(state(), pressed=None)
    assert rules.times(typed, keep=keep) == (Acknowledge(), KeepTimes(keep), Reply(content=content))


def test_a_feed_changes_the_feeds_alone() -> None:
    fed = replace(NAP, field="feeds", from_value=((1,),), to_value=((420,), (600,)))

    assert rules.with_change(PLAN, fed) == replace(PLAN, feeds=(420, 600))


def test_a_suggestion_is_kept_as_json() -> None:
    stored = suggestion_as_json(NAP)

    assert suggestion_from_json(stored) == NAP
