"""What becomes of words and taps about the family's day, and of where the family is."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from bot.domain.dialogs import DialogState
from bot.domain.ids import MessageId, OutboxId
from bot.domain.json_value import JsonValue
from bot.domain.subject import Subject
from bot.features.content import Content
from bot.features.effects import EditLine, EndDialog, Reply, StartDialog
from bot.features.schedule import day_rules, stay_rules
from bot.features.schedule.contents import (
    BackHome,
    ChangeQuestion,
    DayChanged,
    DayConfirmed,
    DayLine,
    DayShown,
    HomeQuestion,
    NoFit,
    PartQuestion,
    PlaceLine,
    RightQuestion,
    SameTime,
    StayBegun,
    StayQuestion,
    UntilQuestion,
    ZoneQuestion,
)
from bot.features.schedule.effects import ComeHome, ConfirmDay, EndStay, GoAway, KeepAnswers, KeepDay
from bot.features.schedule.rules import with_shape
from bot.features.schedule.state import DayState
from bot.parsing.schedule import ShapeWords
from tests.features.schedule.test_shape_change import PLAN
from tests.features.states import family

NOW = datetime(2026, 3, 4, 15, 0, tzinfo=UTC)
SUNDAY = date(2026, 3, 8)
KNOWN = family(shape_told_at=NOW - timedelta(days=9))
STATE = DayState(
    now=NOW,
    family=KNOWN,
    plan=PLAN,
    version=4,
    day_care=False,
    clinic_zone="America/Toronto",
    dialog=DialogState(None, {}),
)
NEW_FAMILY = replace(STATE, family=replace(KNOWN, shape_told_at=None), plan=replace(PLAN, awake=()))
ASKED_AT = {"asked_at": NOW.isoformat()}
LATER_BED = ShapeWords(bed=1200)


def with_draft(state: DayState, **answers: JsonValue) -> DayState:
    return replace(state, family=replace(state.family, shape_draft=answers))


# ---------------------------------------------------------------- asking


@pytest.mark.parametrize(
    ("draft", "step", "asked"),
    [
        ({}, "zone", HomeQuestion(("America/Halifax", "America/Toronto"))),
        ({"zone": "America/Halifax"}, "shape", PartQuestion("wake", (1, 5))),
        ({"zone": "America/Halifax", "wake": 420, "bed": 1140}, "shape", PartQuestion("naps", (3, 5))),
    ],
)
def test_the_first_part_that_is_not_known_is_asked_for(
    draft: dict[str, JsonValue], step: str, asked: Content
) -> None:
    dialog, said = day_rules.decide_begin(with_draft(NEW_FAMILY, **draft))

    assert isinstance(dialog, StartDialog)
    assert dialog.step == step
    assert said == Reply(content=asked)


def test_once_all_is_known_it_is_asked_whether_it_is_right() -> None:
    draft: dict[str, JsonValue] = {
        "zone": "America/Halifax", "wake": 420, "bed": 1140, "naps": [], "feeds": [], "bath": [],
    }  # fmt: skip
    ended, said = day_rules.decide_begin(with_draft(NEW_FAMILY, **draft))

    assert ended == EndDialog()
    assert isinstance(said, Reply)
    assert isinstance(said.content, RightQuestion)
    assert said.content.plan.awake == ((420, 1140),)


def test_an_old_tap_on_right_so_while_parts_are_open_asks_on() -> None:
    decided = day_rules.decide_right(with_draft(NEW_FAMILY, zone="America/Halifax", wake=420))

    assert decided == (
        StartDialog("shape", {"part": "bed", **ASKED_AT}),
        Reply(content=PartQuestion("bed", (2, 5))),
    )


def test_an_answer_of_the_first_talk_is_kept_at_once() -> None:
    state = with_draft(NEW_FAMILY, zone="America/Halifax", wake=420)
    ended, kept, _, said = day_rules.decide_taken(state, ShapeWords(bed=1140))

    assert (ended, kept) == (EndDialog(), KeepAnswers({"zone": "America/Halifax", "wake": 420, "bed": 1140}))
    assert said == Reply(content=PartQuestion("naps", (3, 5)))


def test_an_answer_that_does_not_fit_is_asked_for_again_and_not_kept() -> None:
    state = with_draft(NEW_FAMILY, zone="America/Halifax", wake=1140)
    again, said = day_rules.decide_taken(state, ShapeWords(bed=420))

    assert again == StartDialog("shape", {"part": "bed", **ASKED_AT})
    assert said == Reply(content=NoFit("bed_before_wake", "bed"))


# ---------------------------------------------------------------- changing


def test_a_change_told_in_words_is_asked_about_before_it_is_one() -> None:
    asked, said = day_rules.decide_told(STATE, LATER_BED, MessageId(7))

    assert asked == StartDialog("shape_words", {"said": {"bed": 1200}, **ASKED_AT})
    question = ChangeQuestion(PLAN, with_shape(PLAN, LATER_BED), (), ("bed",))
    assert said == Reply(content=question, about=Subject.of("message", MessageId(7)))


def test_words_that_change_nothing_or_do_not_fit_change_nothing() -> None:
    same = day_rules.decide_told(STATE, ShapeWords(bed=1140), MessageId(7))
    never = day_rules.decide_told(STATE, ShapeWords(wake=1200), MessageId(7))

    assert same == (Reply(content=DayLine("as_before")),)
    assert never == (Reply(content=NoFit("bed_before_wake")),)


def test_a_yes_makes_a_version_and_offers_the_one_before() -> None:
    new = with_shape(PLAN, LATER_BED)

    assert day_rules.decide_taken(STATE, LATER_BED) == (
        EndDialog(),
        ConfirmDay(),
        KeepDay(new),
        Reply(content=DayChanged(PLAN, new, 4)),
    )


def test_one_tap_puts_the_day_back_and_leaves_the_rest_of_the_plan() -> None:
    earlier = replace(PLAN, awake=((400, 1100),), activities=())
    _, kept, _ = day_rules.decide_back(STATE, earlier)

    assert kept == KeepDay(replace(PLAN, awake=((400, 1100),)))
    assert day_rules.decide_back(STATE, None) == ()


def test_it_is_right_so_confirms_what_is_known() -> None:
    assert day_rules.decide_right(STATE) == (EndDialog(), ConfirmDay(), Reply(content=DayConfirmed(PLAN)))


def test_what_a_tap_asked_for_stands_in_place_of_the_question() -> None:
    pressed = replace(STATE, by_press=True, pressed=OutboxId(9))

    assert day_rules.decide_left(pressed) == (EndDialog(), EditLine(OutboxId(9), DayLine("not_changed")))


def test_day_care_reads_the_day_and_is_offered_no_change() -> None:
    day_care = replace(STATE, day_care=True)

    assert day_rules.decide_show(day_care) == (Reply(content=DayShown(PLAN, may_change=False)),)
    assert stay_rules.decide_where(day_care) == (Reply(content=PlaceLine("family_only")),)


# ---------------------------------------------------------------- where the family is

MADRID, LISBON = "Europe/Madrid", "Europe/Lisbon"
AWAY = replace(
    STATE,
    family=replace(KNOWN, zone=ZoneInfo(MADRID), home_zone="America/Halifax", away_until=SUNDAY),
    plan=replace(PLAN, time_zone=MADRID),
)


@pytest.mark.parametrize(
    ("zones", "until", "for_good", "said"),
    [
        ((MADRID,), SUNDAY, False, StayQuestion(MADRID, SUNDAY)),
        ((MADRID,), None, False, UntilQuestion(MADRID)),
        ((MADRID, LISBON), SUNDAY, False, ZoneQuestion((MADRID, LISBON), for_good=False)),
        ((MADRID, LISBON), None, True, ZoneQuestion((MADRID, LISBON), for_good=True)),
        (("America/Halifax",), SUNDAY, False, SameTime("America/Halifax")),
        (
            (MADRID, LISBON, "Asia/Tokyo", "Asia/Dubai", "America/Lima"),
            None,
            False,
            PlaceLine("many_zones"),
        ),
    ],
)
def test_a_place_is_asked_about_before_anything_moves(
    zones: tuple[str, ...], until: date | None, for_good: bool, said: Content
) -> None:
    decided = stay_rules.decide_place(STATE, zones, until, for_good=for_good)

    assert decided[-1] == Reply(content=said)
    assert not any(isinstance(each, GoAway | KeepDay) for each in decided)


def test_a_stay_goes_by_another_clock_until_its_last_day() -> None:
    assert stay_rules.decide_go(STATE, MADRID, SUNDAY) == (
        EndDialog(),
        GoAway(MADRID, "America/Halifax", SUNDAY),
        Reply(content=StayBegun(MADRID, SUNDAY, "America/Halifax")),
    )


def test_a_trip_that_goes_on_elsewhere_keeps_the_same_home() -> None:
    _, gone, _ = stay_rules.decide_go(AWAY, "Asia/Tokyo", SUNDAY)

    assert gone == GoAway("Asia/Tokyo", "America/Halifax", SUNDAY)


def test_going_to_where_home_is_is_coming_home() -> None:
    home = (ComeHome(), Reply(content=BackHome("America/Halifax")))

    assert stay_rules.decide_go(AWAY, "America/Halifax", SUNDAY) == (EndDialog(), *home)
    assert stay_rules.decide_home(AWAY) == home
    assert stay_rules.decide_home(STATE) == (Reply(content=SameTime("America/Halifax")),)


def test_moving_for_good_ends_a_stay_and_is_a_change_of_the_day() -> None:
    ended, stay, _, kept, _ = stay_rules.decide_home_zone(AWAY, LISBON)

    assert (ended, stay) == (EndDialog(), EndStay())
    assert kept == KeepDay(replace(AWAY.plan, time_zone=LISBON))
