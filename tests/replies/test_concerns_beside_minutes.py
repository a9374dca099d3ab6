"""Reading rule 16: a message of trouble counts nothing but what plainly reports, wherever the trouble stands in it."""

from __future__ import annotations

import random

import pytest

from bot.replies.context import context_from
from bot.replies.reader import read_reply
from bot.replies.reading import Reading
from tests.benchmarks.labelled import HANDS_LEARN, HANDS_TUNE, Case, cases
from tests.replies.said import read

SPLICED = 250
# Ordinary reports, and the minutes that they count.
REPORTS = (("did 8 of tummy time", 8), ("tummy time 10 min", 10), ("hicimos 6 boca abajo", 6))


def troubled(urgency: str) -> list[Case]:
    return [
        case
        for name in (HANDS_LEARN, HANDS_TUNE)
        for case in cases(name)
        if case["expect"]["concern"] == urgency
    ]


def counted(reading: Reading) -> list[float | None]:
    return [] if reading.confirm else [entry.minutes for entry in reading.entries]


def sample(urgency: str) -> list[Case]:
    lines = [case for case in troubled(urgency) if not case["expect"]["entries"]]
    return random.Random(7).sample(lines, SPLICED)


def test_a_length_or_a_done_inside_trouble_is_no_session() -> None:
    booked = [
        case["text"]
        for case in sample("act_now")
        if counted(read_reply(case["text"], context_from(case["context"])))
    ]

    assert booked == []


@pytest.mark.parametrize(("report", "minutes"), REPORTS)
def test_trouble_beside_a_report_adds_no_minutes_to_it(report: str, minutes: int) -> None:
    for case in sample("act_now")[:80]:
        for text in (f"{report}. {case['text']}", f"{case['text']}. {report}"):
            reading = read_reply(text, context_from({**case["context"], "prompt": None}))
            assert counted(reading) in ([], [minutes]), text
            assert not any(seen.kind == "tolerated_well" for seen in reading.observations if reading.concern)


@pytest.mark.parametrize(
    "text",
    [
        "she shook for about 2 min",
        "been awake 26 hours and I want to be dead",
        "for about forty seconds her left leg was twitching and she did not respond",
        "face down in the bath for two seconds, now she is breathing fast and blue",
        "sangra de la nariz y la boca, llevamos veinte minutos presionando",
        "his lips went grey, lasted 3 minutes",
        "se puso tieso como 2 minutos",
        "he went floppy in my arms, 5 minutes now",
    ],
)
def test_the_length_of_a_sign_is_never_the_reminders(text: str) -> None:
    reading = read(text)

    assert reading.concern or reading.unclear
    assert counted(reading) == []


def test_a_report_before_a_sign_is_counted() -> None:
    reading = read("tummy 8 min done. then her lips went blue")

    assert reading.concern is not None
    assert [entry.minutes for entry in reading.entries] == [8]


@pytest.mark.parametrize("text", ["ok", "k", "Okay!", "ok thanks", "vale", "dale"])
def test_ok_may_only_mean_seen_and_is_asked_about(text: str) -> None:
    reading = read(text)

    assert reading.entries == ()
    assert reading.confirm
