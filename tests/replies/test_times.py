"""How often, of an activity that is counted by times: read from counts and care moments in both languages."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

import pytest

from bot.replies.context import answer_line, context_from
from bot.replies.reader import read_reply
from bot.replies.reading import ByTimes, Prompted, Reading, ReplyContext

ROLLING = ByTimes("rolling", a_day=6, so_far=4, moments=frozenset({"nappy"}))
BATH_HANDS = ByTimes("hand_to_mouth", a_day=1, so_far=1, moments=frozenset({"bath"}))
PROMPTS = {"": None, "roll": Prompted("rolling", "left", 2), "tummy": Prompted("tummy_time", None, 10)}
PLAIN = ReplyContext(
    now=datetime.fromisoformat("2026-03-04T15:20:00-06:00"),
    language="en",
    affected_side="right",
    age_weeks=14,
    plan=("tummy_time", "rolling", "hand_to_mouth"),
)
BY_TIMES = replace(PLAIN, times=(ROLLING, BATH_HANDS))


def read(text: str, prompt: str = "roll", language: str = "en") -> Reading:
    context = replace(BY_TIMES, prompt=PROMPTS[prompt], language="es" if language == "es" else "en")
    return read_reply(text, context)


def told(reading: Reading) -> list[str]:
    """Return each entry as "rolling 3 of the day", and what else the message says."""
    lines = []
    for entry in reading.entries:
        amount = "?" if entry.times is None else entry.times
        much = f"{entry.minutes:g} min" if entry.minutes is not None and not entry.times else f"{amount}"
        parts = [entry.activity or "unnamed", much, "of the day" if entry.of_day else "", entry.side or ""]
        lines.append(" ".join(filter(None, [*parts, str(entry.day_offset) if entry.day_offset else ""])))
    return [*lines, *(["asked"] if reading.confirm else []), *filter(None, [reading.skipped])]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("3 of 5", "rolling 3 of the day"),
        ("3 out of 5", "rolling 3 of the day"),
        ("got 3 of the 5 changes", "rolling 3 of the day"),
        ("4/6", "rolling 4 of the day"),
        ("every change today", "rolling 4 of the day"),
        ("all the changes", "rolling 4 of the day"),
        ("did it at every diaper", "rolling 4 of the day"),
        ("at each nappy change so far", "rolling 4 of the day"),
        ("every change but one", "rolling 3 of the day"),
        ("all of them", "rolling 4 of the day"),
        ("did it at every diaper: 3 times", "rolling 3 of the day"),
        ("all 5 changes", "rolling 5 of the day"),
        ("at 3 diapers", "rolling 3 of the day"),
        ("every change yesterday", "rolling 6 of the day -1"),
        ("3 times today", "rolling 3 of the day"),
        ("3 times", "rolling 3"),
        ("twice", "rolling 2"),
        ("2", "rolling 2"),
        ("done", "rolling 1 left"),
        ("👍", "rolling 1 left"),
        ("5 min", "rolling 5 min left"),
        ("3 times to the left", "rolling 3 left"),
    ],
)
def test_how_often_is_read_in_answer_to_a_reminder_that_counts_by_times(text: str, expected: str) -> None:
    assert told(read(text)) == [expected]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("cuatro de seis", "rolling 4 of the day"),
        ("4 de las 6", "rolling 4 of the day"),
        ("en todos los cambios", "rolling 4 of the day"),
        ("hoy en cada cambio de pañal", "rolling 4 of the day"),
        ("todos menos uno", "rolling 3 of the day"),
        ("los hice todos hoy", "rolling 4 of the day"),
        ("en 3 cambios", "rolling 3 of the day"),
        ("lo hicimos dos veces", "rolling 2"),
        ("una vez", "rolling 1 left"),
    ],
)
def test_how_often_is_read_in_spanish(text: str, expected: str) -> None:
    assert told(read(text, language="es")) == [expected]


@pytest.mark.parametrize(
    ("prompt", "text", "expected"),
    [
        ("tummy", "every change today", ["rolling 4 of the day"]),
        ("tummy", "rolling at every diaper, tummy 12", ["rolling 4 of the day", "tummy_time 12 min"]),
        ("roll", "tummy 12 min and 3 of 5 rolls", ["tummy_time 12 min", "rolling 3 of the day"]),
        ("", "at 4 of the 5 diaper changes", ["rolling 4 of the day"]),
        ("", "did hand to mouth at every bath", ["hand_to_mouth 1 of the day"]),
        ("", "did the rolling", ["rolling 1"]),
        ("tummy", "12", ["tummy_time 12 min"]),
        ("tummy", "only 4 of the 10", ["tummy_time 4 min"]),
        ("roll", "tummy 4 of the 10", ["tummy_time 4 min"]),
        ("tummy", "twice", ["tummy_time 20 min"]),
    ],
)
def test_minutes_stay_minutes_and_moments_name_their_activity(
    prompt: str, text: str, expected: list[str]
) -> None:
    assert told(read(text, prompt)) == expected


@pytest.mark.parametrize(
    ("language", "text"),
    [
        ("en", "most of the changes"),
        ("en", "not at every change"),
        ("en", "didn't do it at every change"),
        ("en", "every other change"),
        ("en", "3 or 4 changes"),
        ("en", "12"),
        ("es", "casi todos los cambios"),
        ("es", "en la mitad de los cambios"),
    ],
)
def test_an_unclear_number_of_times_is_asked(language: str, text: str) -> None:
    assert told(read(text, language=language)) == ["rolling ?", "asked"]


@pytest.mark.parametrize(
    "text",
    [
        "will do it at every change tomorrow",
        "should I do it at every change?",
        "she had 3 diapers",
        "he wet every diaper",
        "none of the changes",
        "turned blue at every change",
        "she screams every change when I touch her arm",
    ],
)
def test_what_was_not_done_or_is_something_else_counts_nothing(text: str) -> None:
    assert read(text).entries == ()


@pytest.mark.parametrize(
    "text", ["every change today", "all of them", "3 of 5 changes", "en todos los cambios"]
)
@pytest.mark.parametrize("prompt", ["", "tummy"])
def test_without_an_activity_by_times_the_reading_holds_no_times(text: str, prompt: str) -> None:
    reading = read_reply(text, replace(PLAIN, prompt=PROMPTS[prompt]))

    assert all(entry.times is None for entry in reading.entries)
    assert "times" not in str(reading.as_json())


@pytest.mark.parametrize(
    ("language", "text"),
    [
        ("en", "3 of 5 changes"),
        ("en", "4 of the 6 diapers"),
        ("en", "she took 2 of the 3 bottles"),
        ("es", "3 de 5 cambios"),
        ("es", "tomó 3 de los 4 biberones"),
    ],
)
def test_a_part_of_things_counts_no_minutes_where_nothing_counts_by_times(language: str, text: str) -> None:
    spoken = replace(PLAIN, prompt=PROMPTS["tummy"], language="es" if language == "es" else "en")

    assert not any(entry.minutes for entry in read_reply(text, spoken).entries)


def test_the_command_reads_times_from_its_context() -> None:
    context = '"now": "2026-03-04T15:20:00-06:00", "language": "en", "affected_side": "left", "age_weeks": 9'
    times = '"times": [{"activity": "rolling", "a_day": 6, "moments": ["nappy"]}]'
    answer = answer_line(f'{{"text": "every change today", "context": {{{context}, {times}}}}}', PLAIN.now)

    assert '"activity": "rolling", "minutes": null' in answer
    assert '"times": 6, "of_day": true' in answer


def test_a_wrong_field_of_times_is_named() -> None:
    document = {"now": "2026-03-04T15:20:00-06:00", "language": "en", "affected_side": "left", "age_weeks": 9}
    document |= {"times": [{"activity": "rolling", "a_day": 0}]}

    with pytest.raises(ValueError, match=r"times\[0\].a_day"):
        context_from(document)


def test_the_family_rolling_the_baby_at_changes_is_not_the_baby_rolling() -> None:
    assert read("rolled him at every change").observations == ()
    assert [seen.kind for seen in read("she rolled at every change").observations] == ["roll"]
