"""A therapist's line becomes changes of the plan, and whatever is not understood comes back word for word."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.activities.library import load_library
from bot.features.plan.templates import starting_values
from bot.parsing.plan_line.reader import PlanLine, read_plan_words
from bot.parsing.plan_line.vocabulary import names_of, vocabulary
from bot.phrases import words_for
from bot.text import fold
from scheduling.plan import (
    Activity,
    Baby,
    MinutesADay,
    Plan,
    Ratio,
    ShareOfAwake,
    document_of,
    plan_from,
)
from scheduling.plan.edits import ActivityChange, DayChange, Removal, applied

TODAY = date(2026, 3, 3)  # a Tuesday
NAMES = names_of(load_library())
PLAN = Plan(
    baby=Baby("Pip", date(2025, 11, 20), 39, "right"),
    time_zone="America/Halifax",
    awake=((420, 540), (630, 750)),
    feeds=(430, 640),
    activities=(
        Activity("tummy_time", MinutesADay(40), (5, 10), after_feed=30),
        Activity("football_hold", MinutesADay(15), (5, 5), side="alternate"),
        Activity("bath", MinutesADay(10), (5, 10)),
    ),
)


def read(text: str, plan: Plan = PLAN) -> PlanLine:
    return read_plan_words(text, plan, TODAY, NAMES)


def one(activity: str, **fields: object) -> tuple[ActivityChange, ...]:
    return (ActivityChange(activity=activity, **fields),)  # type: ignore[arg-type]


def minutes(number: float) -> MinutesADay:
    return MinutesADay(number)


MONDAY, APRIL = date(2026, 3, 9), date(2026, 4, 1)

READ_WHOLE = [
    (
        "tummy 40/day 3-10 min, 30 after feeds, from Monday",
        one("tummy_time", target=minutes(40), session=(3, 10), after_feed=30, from_=MONDAY),
    ),
    (
        "football alternate 15/day 5 min",
        one("football_hold", target=minutes(15), session=(5, 5), side="alternate"),
    ),
    ("side lying 2:1 affected", one("side_lying", side=Ratio(2, 1))),
    ("side lying 2:1 strong side", one("side_lying", side=Ratio(1, 2))),
    ("side lying 2 to 1 weak side", one("side_lying", side=Ratio(2, 1))),
    ("gentle range off until 2026-04-01", one("gentle_range", from_=APRIL)),
    ("hold gentle range until April 1", one("gentle_range", from_=APRIL)),
    ("gentle range on hold for 3 weeks", one("gentle_range", from_=date(2026, 3, 24))),
    ("football off from Monday", one("football_hold", until=date(2026, 3, 8))),
    ("remove bath", (Removal("bath"),)),
    ("no bath", (Removal("bath"),)),
    ("bath: take out", (Removal("bath"),)),
    ("remove bath and football", (Removal("bath"), Removal("football_hold"))),
    ("remove football and add rolling", (Removal("football_hold"), *one("rolling"))),
    (
        "drop football, plus rolling and hand to mouth",
        (Removal("football_hold"), *one("rolling"), *one("hand_to_mouth")),
    ),
    ("quita futbol y agrega rodar", (Removal("football_hold"), *one("rolling"))),
    ("add rolling, remove football and bath", (*one("rolling"), Removal("football_hold"), Removal("bath"))),
    ("swap football for rolling", (Removal("football_hold"), *one("rolling"))),
    ("replace football with dressing", (Removal("football_hold"), *one("dressing"))),
    ("reemplaza futbol por rodar", (Removal("football_hold"), *one("rolling"))),
    ("swap football for side lying", (Removal("football_hold"), *one("side_lying"))),
    ("tummy on chest instead of tummy", (Removal("tummy_time"), *one("chest_tummy_time"))),
    ("rolling instead of football", (Removal("football_hold"), *one("rolling"))),
    (
        "instead of football, rolling 10/day",
        (Removal("football_hold"), *one("rolling", target=minutes(10))),
    ),
    ("TUMMY TIME 30 MIN A DAY", one("tummy_time", target=minutes(30))),
    ("tummy time: half of the time awake", one("tummy_time", target=ShareOfAwake(0.5))),
    ("tummy 60% of the waking day", one("tummy_time", target=ShareOfAwake(0.6))),
    ("tummy at least 3 min, up to 8 min", one("tummy_time", session=(3, 8))),
    ("tummy up to 8 min", one("tummy_time", session=(None, 8))),
    ("tummy 10-3 min", one("tummy_time", session=(3, 10))),
    ("tummy 2 h apart", one("tummy_time", own_gap=120)),
    ("tummy gap 90", one("tummy_time", own_gap=90)),
    ("tummy 15 min before feeds", one("tummy_time", before_feed=15)),
    ("leave 20 minutes after each feed for tummy time", one("tummy_time", after_feed=20)),
    ("football only on the right side", one("football_hold", side="affected")),
    ("football left side", one("football_hold", side="unaffected")),
    ("football either side", one("football_hold", side="none")),
    ("football weight 2", one("football_hold", weight=2.0)),
    (
        "5 min football three times a day at nappy and play",
        one("football_hold", target=minutes(15), session=(5, 5), moments=("nappy", "play")),
    ),
    (
        "reaching 3 x 5 min with diaper changes",
        one("reaching", target=minutes(15), session=(5, 5), moments=("nappy",)),
    ),
    ("rolling twice a day, 4 min", one("rolling", target=minutes(8), session=(4, 4))),
    ("football any time", one("football_hold", any_time=True)),
    ("dressing at bath time and bedtime", one("dressing", moments=("bath", "bedtime"))),
    ("football until 30 April", one("football_hold", until=date(2026, 4, 30))),
    ("football until 1 February", one("football_hold", until=date(2027, 2, 1))),
    (
        "football from tomorrow for two weeks",
        one("football_hold", from_=date(2026, 3, 4), until=date(2026, 3, 17)),
    ),
    ("football starting in 2 weeks", one("football_hold", from_=date(2026, 3, 17))),
    ("football no end date", one("football_hold", open_dates=True)),
    ("add hand to mouth", one("hand_to_mouth")),
    (
        "tumy 20/day, footbal 10 a day",
        (*one("tummy_time", target=minutes(20)), *one("football_hold", target=minutes(10))),
    ),
    (
        "40/day tummy, 15/day football",
        (*one("tummy_time", target=minutes(40)), *one("football_hold", target=minutes(15))),
    ),
    (
        "40/day tummy and 15/day football",
        (*one("tummy_time", target=minutes(40)), *one("football_hold", target=minutes(15))),
    ),
    (
        "drop football; add rolling 10/day, 5 min, in turn; tummy 45/day",
        (
            Removal("football_hold"),
            *one("rolling", target=minutes(10), session=(5, 5), side="alternate"),
            *one("tummy_time", target=minutes(45)),
        ),
    ),
    (
        "tummy 20/day\n- football 10/day",
        (*one("tummy_time", target=minutes(20)), *one("football_hold", target=minutes(10))),
    ),
    (
        "tummy, 30 mins total a day, max 10 mins each",
        one("tummy_time", target=minutes(30), session=(None, 10)),
    ),
    (
        "start reaching next Monday 10/day 5 min",
        one("reaching", target=minutes(10), session=(5, 5), from_=MONDAY),
    ),
    ("gentle range not before 2026-04-01", one("gentle_range", from_=APRIL)),
    ("football 10/day weak side 2:1", one("football_hold", target=minutes(10), side=Ratio(2, 1))),
    ("increase tummy time to 45 min/day", one("tummy_time", target=minutes(45))),
    (
        "Football carry, alternate arms, 5 min when carrying",
        one("football_hold", session=(5, 5), side="alternate", moments=("carry",)),
    ),
    (
        "Reaching with the right hand, 2 min x 5",
        one("reaching", target=minutes(10), session=(2, 2), side="affected"),
    ),
    ("tummy at least 30 minutes after feeds", one("tummy_time", after_feed=30)),
    ("tummy ½ hour a day", one("tummy_time", target=minutes(30))),
    ("ROM held till 15 March", one("gentle_range", from_=date(2026, 3, 15))),
    ("pausar rolado por dos semanas", one("rolling", from_=date(2026, 3, 17))),
    ("no más fútbol", (Removal("football_hold"),)),
    ("wake times 7-9, 10-12", (DayChange(awake=((420, 540), (600, 720))),)),
    ("diaper at 8am, 12pm and 4pm", (DayChange(moments=(("nappy", (480, 720, 960)),)),)),
    ("at most 5 reminders a day", (DayChange(most_prompts=5),)),
    ("gap 45", (DayChange(shortest_gap=45),)),
    ("45 min between reminders", (DayChange(shortest_gap=45),)),
    ("quiet 20:00-7:00", (DayChange(quiet=(1200, 420)),)),
    ("quiet from 8 pm to 7 am", (DayChange(quiet=(1200, 420)),)),
    ("no quiet time", (DayChange(no_quiet=True),)),
    ("feeds 7, 10:40, 2:10 pm", (DayChange(feeds=(420, 640, 850)),)),
    ("awake 7-9, 10:30-12:30", (DayChange(awake=((420, 540), (630, 750))),)),
    ("bath at 18:30", (DayChange(moments=(("bath", (1110,)),)),)),
    # Spanish
    (
        "boca abajo 40 al día de 3 a 10 min, 30 después de las tomas, desde el lunes",
        one("tummy_time", target=minutes(40), session=(3, 10), after_feed=30, from_=MONDAY),
    ),
    ("quita el baño", (Removal("bath"),)),
    ("sin baño", (Removal("bath"),)),
    ("rango suave suspendido hasta el 1 de abril", one("gentle_range", from_=APRIL)),
    (
        "de lado alternando 15/día 5 min",
        one("side_lying", target=minutes(15), session=(5, 5), side="alternate"),
    ),
    ("boca abajo la mitad del tiempo despierto", one("tummy_time", target=ShareOfAwake(0.5))),
    (
        "mano a la boca 3 veces al día 5 min",
        one("hand_to_mouth", target=minutes(15), session=(5, 5)),
    ),
    (
        "girar 10 minutos al día en el cambio de pañal y al jugar",
        one("rolling", target=minutes(10), moments=("nappy", "play")),
    ),
    ("sentarse con apoyo lado derecho", one("supported_sitting", side="affected")),
    (
        "boca abajo veinte al día, cada vez cinco minutos",
        one("tummy_time", target=minutes(20), session=(5, 5)),
    ),
    ("como mucho 6 avisos al día", (DayChange(most_prompts=6),)),
    ("silencio de 20:00 a 7:00", (DayChange(quiet=(1200, 420)),)),
    (
        "boca abajo 40 al dia y football 10/day",
        (*one("tummy_time", target=minutes(40)), *one("football_hold", target=minutes(10))),
    ),
]


@pytest.mark.parametrize(("text", "changes"), READ_WHOLE)
def test_a_line_is_read_whole(
    text: str,
    changes: tuple[ActivityChange, ...]
    | tuple[ActivityChange | Removal, ...]
    | tuple[DayChange, ...]
    | tuple[Removal, ...],
) -> None:
    line = read(text)

    assert line == PlanLine(changes, ())


PARTLY_READ = [
    ("tummy 40/day blah", one("tummy_time", target=minutes(40)), ("blah",)),
    ("tummy 40/day 15/day", one("tummy_time", target=minutes(40)), ("15/day",)),
    ("tummy 1/4", (), ("tummy 1/4",)),  # a date, a fraction, or one in four: not guessed
    ("tummy time to 50 min", (), ("tummy time to 50 min",)),  # a day, or each time?
    ("tummy 20-30 min/day", (), ("tummy 20-30 min/day",)),  # a target is one number
    ("stop football 10 min/day", (), ("stop football 10 min/day",)),  # out, or less of it?
    ("everything off until Monday", (), ("everything off until Monday",)),
    ("rolling 3/day", (), ("rolling 3/day",)),  # minutes, or times?
    ("tummy right after feeds", (), ("tummy right after feeds",)),
    ("no more than 2 a day football", (), ("no more than 2 a day football",)),
    ("tummy 40", (), ("tummy 40",)),  # a day, or each time: not guessed
    ("tummy 5000/day", (), ("tummy 5000/day",)),
    ("tummy from 2026-02-30", (), ("tummy from 2026-02-30",)),
    ("tummy every 2 hours", (), ("tummy every 2 hours",)),
    ("30 after feeds", (), ("30 after feeds",)),  # of what?
    ("tummy time", (), ("tummy time",)),  # already there, and nothing said of it
    ("stop tummy time on Friday", (), ("stop tummy time on Friday",)),
    ("remove bath maybe", (), ("remove bath maybe",)),
    ("swap football", (), ("swap football",)),  # for what?
    ("replace football maybe with rolling", (), ("replace football maybe with rolling",)),
    ("no tummy after feeds", (), ("no tummy after feeds",)),
    ("hold side lying", (), ("hold side lying",)),  # until when?
    ("off until Monday: tummy", (), ("off until Monday", "tummy")),
    ("football off from Monday until Friday", (), ("from Monday until Friday",)),
    ("rolling 3 times a day, 3-5 min", one("rolling", session=(3, 5)), ("3 times a day",)),
    ("quiet 20:00-20:00", (), ("quiet 20:00-20:00",)),
    ("awake 9-7", (), ("awake 9-7",)),
    ("how is Pip today?", (), ("how is Pip today",)),
    (
        "gentle range only after 1 April",
        (),
        ("gentle range only after 1 April",),
    ),  # on the first, or the second?
    ("don't do tummy time after feeds", (), ("don't do tummy time after feeds",)),
    ("tummy 30/day Monday", (), ("tummy 30/day Monday",)),  # from, until, or on Monday alone?
    ("reduce football to 10", (), ("football to 10",)),
    ("suspender rango hasta el 15/4", (), ("suspender rango hasta el 15/4",)),
    ("dormida boca abajo", (), ("dormida boca abajo",)),
]


@pytest.mark.parametrize(("text", "changes", "unread"), PARTLY_READ)
def test_what_is_not_understood_comes_back_in_the_writers_words(
    text: str, changes: tuple[ActivityChange, ...], unread: tuple[str, ...]
) -> None:
    line = read(text)

    assert line == PlanLine(changes, unread)


def test_left_and_right_can_not_be_said_of_a_baby_with_both_arms_affected() -> None:
    both = replace(PLAN, baby=replace(PLAN.baby, affected_side="both"))

    assert read("football left side, 10/day", both) == PlanLine(
        one("football_hold", target=minutes(10)), ("left side",)
    )


def test_accents_and_capitals_make_no_difference_and_unread_words_keep_theirs() -> None:
    line = read("BOCA ABAJO 40 AL DÍA, Ñandú")

    assert line == PlanLine(one("tummy_time", target=minutes(40)), ("Ñandú",))


def test_every_word_of_the_vocabulary_is_written_folded() -> None:
    def leaves(value: object) -> list[str]:
        if isinstance(value, dict):
            return [leaf for each in value.values() for leaf in leaves(each)]
        if isinstance(value, list):
            return [leaf for each in value for leaf in leaves(each)]
        return [str(value)]

    assert [word for word in leaves(vocabulary()) if fold(word) != word] == []


def test_every_activity_of_the_vocabulary_is_in_the_library_and_the_other_way_round() -> None:
    assert set(vocabulary()["activities"]) == set(load_library())


@pytest.mark.parametrize("language", ["en", "es"])
def test_every_display_name_of_the_library_names_its_activity(language: str) -> None:
    library = load_library()
    empty = replace(PLAN, activities=())

    read_as = {each: read(f"{library.name(each, language)} 10/day 5 min", empty).changes for each in library}

    assert read_as == {each: one(each, target=minutes(10), session=(5, 5)) for each in library}


WORDS = st.sampled_from(
    [
        *NAMES,
        *(word for words in vocabulary()["words"].values() for word in words),
        *("40/day", "3-10 min", "2:1", "30", "5", "0", "999", "1/4", "2026-04-01", "25:99", "7-9", "18:30", ",", ";", "\n", "-", "%", "ñ", "x", "½"),
    ]
)  # fmt: skip
LINES = st.one_of(st.text(max_size=60), st.lists(WORDS, max_size=14).map(" ".join))


@given(LINES)
@settings(max_examples=300, deadline=None)
def test_any_line_gives_a_plan_that_a_document_can_hold(text: str) -> None:
    line = read(text)
    plan, _ = applied(PLAN, line.changes, starting_values())

    assert plan_from(document_of(plan)) == plan


@given(LINES)
@settings(max_examples=150, deadline=None)
def test_any_line_leaves_what_it_does_not_name_alone(text: str) -> None:
    line = read(text)
    named = {change.activity for change in line.changes if isinstance(change, ActivityChange | Removal)}
    plan, _ = applied(PLAN, line.changes, starting_values())

    for before in PLAN.activities:
        if before.activity not in named:
            assert plan.activity(before.activity) == before


@given(st.text(alphabet="qwxz ", min_size=1, max_size=30))
@settings(max_examples=50, deadline=None)
def test_nonsense_changes_nothing_and_is_told(text: str) -> None:
    line = read(text)

    assert line.changes == ()
    if text.replace("x", "").strip():
        assert line.unread


@pytest.mark.parametrize("language", ["en", "es"])
def test_the_examples_that_the_bot_gives_are_read_whole(language: str) -> None:
    words = words_for(language)
    name = load_library().name("gentle_range", language)
    line = re.sub(r"</?i>", "", words("plan.how_to")).partition(": ")[2]
    dose = words.plain("plan.type_dose", activity=name).partition(": ")[2]

    assert read(line) == PlanLine(one("tummy_time", target=minutes(40), session=(3, 10), after_feed=30), ())
    assert read(dose) == PlanLine(one("gentle_range", target=minutes(6), session=(2, 2), from_=APRIL), ())


@pytest.mark.parametrize("language", ["en", "es"])
def test_the_examples_of_day_rules_are_read_whole(language: str) -> None:
    said = re.sub(r"</?i>", "", words_for(language)("plan.type_rules")).partition(": ")[2]
    lines = [re.sub(r"^(Or|O): ", "", line).rstrip(".") for line in re.split(r"(?<=\d)\. ", said)]

    assert [read(line) for line in lines] == [
        PlanLine((DayChange(quiet=(1200, 420)),), ()),
        PlanLine((DayChange(feeds=(420, 630, 840)),), ()),
        PlanLine((DayChange(awake=((420, 540), (600, 720))),), ()),
        PlanLine((DayChange(moments=(("bath", (1110,)),)),), ()),
    ]


@pytest.mark.parametrize("text", ["tummy 7½ min", "tummy 40/day, quiet 1½ to 7", "tummy 3¼ a day"])
def test_a_fraction_sign_adds_no_digit_to_the_number_before_it(text: str) -> None:
    said = read(text).changes

    assert not any(number in str(said) for number in ("71", "(2, 2)", "660", "31", "4.0,"))
    assert read(text).unread
