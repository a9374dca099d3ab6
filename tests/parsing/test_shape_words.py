"""The day's shape in carers' words, read with care rather than reach."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.parsing.schedule import PARTS, Part, ShapeWords, read_shape, tells_only_the_day


def at(clock: str) -> int:
    hour, minute = clock.split(":")
    return int(hour) * 60 + int(minute)


def spans(*pairs: str) -> tuple[tuple[int, int], ...]:
    return tuple((at(start), at(end)) for start, end in (pair.split("-") for pair in pairs))


TOLD = {
    "bath is at 6 now": ShapeWords(bath=(at("18:00"),)),
    "Bath moved to 6:30pm": ShapeWords(bath=(at("18:30"),)),
    "bathtime now 18.45": ShapeWords(bath=(at("18:45"),)),
    "hi, Pip's bath is at 7 from now on, thanks": ShapeWords(bath=(at("19:00"),)),
    "morning bath at 9": ShapeWords(bath=(at("9:00"),)),
    "no bath": ShapeWords(bath=()),
    "she naps 1 to 3": ShapeWords(naps=spans("13:00-15:00")),
    "naps: 9-10:15, 12:30-2 and 4:30-5": ShapeWords(naps=spans("9:00-10:15", "12:30-14:00", "16:30-17:00")),
    "her nap is from noon till half past one": ShapeWords(naps=spans("12:00-13:30")),
    "3 naps 9-10, 12-1, 4-5": ShapeWords(naps=spans("9:00-10:00", "12:00-13:00", "16:00-17:00")),
    "no more naps": ShapeWords(naps=()),
    "feeds at 7, 10, 1 and 4": ShapeWords(feeds=(420, 600, 780, 960)),
    "bottles 6am, 9:30, 1, 4:30, 8 and 11pm": ShapeWords(
        feeds=(at("6:00"), at("9:30"), at("13:00"), at("16:30"), at("20:00"), at("23:00"))
    ),
    "now nurses every 2.5 hours": ShapeWords(feeds_every=150),
    "he's up at 6:15 and goes to bed at 7": ShapeWords(wake=at("6:15"), bed=at("19:00")),
    "wakes up at quarter to seven": ShapeWords(wake=at("6:45")),
    "Bedtime 7:30ish": ShapeWords(bed=at("19:30")),
    "no messages 8 to 6:30": ShapeWords(quiet=(at("20:00"), at("6:30"))),
    "ahora el baño es a las 6 y media": ShapeWords(bath=(at("18:30"),)),
    "duerme la siesta de 9 a 10 y de 1 a 3": ShapeWords(naps=spans("9:00-10:00", "13:00-15:00")),
    "Tomas a las 7, 10, 1 y 4": ShapeWords(feeds=(420, 600, 780, 960)),
    "come cada 3 horas": ShapeWords(feeds_every=180),
    "se despierta a las siete menos cuarto": ShapeWords(wake=at("6:45")),
    "se acuesta a las 8 de la noche": ShapeWords(bed=at("20:00")),
    "sin avisos de 9 a 7": ShapeWords(quiet=(at("21:00"), at("7:00"))),
    "gets up around half six, naps about 9 for an hour ish then 12 to 2, bed half 7": ShapeWords(
        wake=at("6:30"), naps=spans("9:00-10:00", "12:00-14:00"), bed=at("19:30")
    ),
    "naps 9 for 45 min and 1 for an hour and a half": ShapeWords(naps=spans("9:00-9:45", "13:00-14:30")),
    "wakes six thirty, first nap ten till eleven fifteen, second nap two ish for an hour, asleep by seven": ShapeWords(
        wake=at("6:30"), naps=spans("10:00-11:15", "14:00-15:00"), bed=at("19:00")
    ),
    "siesta a las 9 una hora más o menos, luego de 12 a 2, a dormir a las 8": ShapeWords(
        naps=spans("9:00-10:00", "12:00-14:00"), bed=at("20:00")
    ),
    "despierta a las 7, siestas 9:30 a 11 y 2 a 3, duerme a las 8": ShapeWords(
        wake=420, naps=spans("9:30-11:00", "14:00-15:00"), bed=at("20:00")
    ),
    "naps 9 an hour and 1 half an hour": ShapeWords(naps=spans("9:00-10:00", "13:00-13:30")),
    "feeds at 11 and 3 at night": ShapeWords(feeds=(at("3:00"), at("23:00"))),
    "wakes seven ish, bottle at eight, twelve and four, then bed around seven thirty usually": ShapeWords(
        wake=420, feeds=(at("8:00"), at("12:00"), at("16:00")), bed=at("19:30")
    ),
    "she usually naps from 1 to 3 at her grandma's": ShapeWords(naps=spans("13:00-15:00")),
    "se levanta a las 6, siesta a las 9 por una hora y de 1 a 3": ShapeWords(
        wake=360, naps=spans("9:00-10:00", "13:00-15:00")
    ),
    "up at 6, naps whenever she likes, bed at 8": ShapeWords(wake=360, bed=at("20:00"), unclear=("naps",)),
}  # fmt: skip


@pytest.mark.parametrize("text", TOLD)
def test_the_day_told_in_plain_words_is_read(text: str) -> None:
    assert read_shape(text, names=("Pip",)) == TOLD[text]


NOT_TOLD = [
    "bath 6 min",
    "did the bath at 6",
    "cried at the bath at 6",
    "is the bath at 6?",
    "she slept 1 to 3",
    "napped 1-3 today",
    "no bath tonight, he is hot",
    "fed at 7 and threw up",
    "tummy at 6",
    "football hold in the bath at 6, turned right",
    "gave 5 oz at 7",
    "temp 38.5 after the bath at 6",
    "bottle at 7 he choked",
    "naps a lot",
    "naps whenever, bath whenever",
    "she was up at 3 and had a bath at 6 and I am so tired",
    "up at 6 and choking on the bottle at 8, went blue, then limp, scared us all so much",
    "bath",
    "10 min",
    "done",
    "naps 8 to 8",
    "ayer durmió de 1 a 3",
    "se bañó y lloró a las 6",
    "baño 10 minutos",
    "he is blue",
    "",
    "9 10 11",
]


@pytest.mark.parametrize("text", NOT_TOLD)
def test_anything_else_is_left_to_the_reader_of_replies(text: str) -> None:
    assert read_shape(text, names=("Pip",)) is None


ANSWERED = [
    ("wake", "7", ShapeWords(wake=420)),
    ("wake", "around half six, sometimes later", ShapeWords(wake=at("6:30"))),
    ("bed", "8", ShapeWords(bed=at("20:00"))),
    ("bed", "a las 7 y media", ShapeWords(bed=at("19:30"))),
    ("naps", "9-10:30, 1-3", ShapeWords(naps=spans("9:00-10:30", "13:00-15:00"))),
    ("naps", "none", ShapeWords(naps=())),
    ("feeds", "7 10 1 4", ShapeWords(feeds=(420, 600, 780, 960))),
    ("feeds", "every three hours", ShapeWords(feeds_every=180)),
    ("bath", "no", ShapeWords(bath=())),
    ("quiet", "8pm-7am", ShapeWords(quiet=(at("20:00"), at("7:00")))),
    ("wake", "10 min", None),
    ("wake", "why do you ask?", None),
    ("naps", "after lunch", None),
]


@pytest.mark.parametrize(("asked", "text", "read"), ANSWERED)
def test_bare_times_answer_the_part_that_was_asked_for(
    asked: Part, text: str, read: ShapeWords | None
) -> None:
    assert read_shape(text, asked=asked) == read


@given(text=st.text(max_size=80), asked=st.sampled_from([None, *PARTS]))
@settings(max_examples=150)
def test_any_text_at_all_can_be_read(text: str, asked: Part | None) -> None:
    read_shape(text, asked=asked)


@given(
    words=st.lists(
        st.sampled_from(
            [
                "bath",
                "naps",
                "feeds",
                "bed",
                "wakes",
                "at",
                "to",
                "and",
                "1",
                "3",
                "7",
                "10:30",
                "noon",
                "6pm",
                "no",
                "every",
                "hours",
                "y",
                "a",
                "las",
                "de",
            ]
        ),
        max_size=12,
    )
)
@settings(max_examples=200)
def test_what_is_read_always_stays_within_one_day_and_in_order(words: list[str]) -> None:
    read = read_shape(" ".join(words)) or ShapeWords()
    naps, feeds = read.naps or (), read.feeds or ()

    assert all(0 <= start < end <= 1440 for start, end in naps)
    assert list(naps) == sorted(naps)
    assert list(feeds) == sorted(set(feeds)) and all(0 <= feed < 1440 for feed in feeds)
    assert all(0 <= each < 1440 for each in (read.wake or 0, read.bed or 0, *(read.bath or ())))


@pytest.mark.parametrize("text", ["naps moved to 10 and 2", "siesta ahora a las 10 y a las 2"])
def test_naps_of_which_only_the_beginnings_are_told_are_asked_for(text: str) -> None:
    assert read_shape(text) == ShapeWords(unclear=("naps",))


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (
            "up at 7, sleeps 9.30 till 11 and again 1 to 3, down by 8",
            ShapeWords(wake=420, naps=((570, 660), (780, 900)), bed=1200),
        ),
        ("up 6.30 nap at nine for like an hr, 12ish-2", ShapeWords(wake=390, naps=((540, 600), (720, 840)))),
        (
            "two naps, ten to eleven and two till quarter past three",
            ShapeWords(naps=((600, 660), (840, 915))),
        ),
        ("wakes twice for milk, about one and about four", ShapeWords(feeds=(60, 240))),
        ("se despierta dos veces para el pecho, a la una y a las cuatro", ShapeWords(feeds=(60, 240))),
        ("come a las 10 y a las 2 de la noche", ShapeWords(feeds=(120, 1320))),
        ("dos siestas, de nueve a diez y de una a dos y media", ShapeWords(naps=((540, 600), (780, 870)))),
        (
            "se levanta sobre las siete, duerme a las 10 como media hora, a la cama a las ocho",
            ShapeWords(wake=420, naps=((600, 630),), bed=1200),
        ),
        ("mama cada tres horas", ShapeWords(feeds_every=180)),
        ("goes down at seven", ShapeWords(bed=1140)),
    ],
)
def test_a_day_in_a_tired_carers_words(text: str, expected: ShapeWords) -> None:
    assert read_shape(text) == expected


@pytest.mark.parametrize(
    "text",
    [
        "up for a bit of tummy time",
        "put her down and did 10",
        "woke up 3 times for milk last night",
        "he is up to 10 min now",
    ],
)
def test_small_words_of_the_day_without_a_time_are_no_telling_of_it(text: str) -> None:
    assert read_shape(text) is None


def test_a_part_whose_times_are_no_times_of_a_nap_is_asked_about() -> None:
    found = read_shape("her naps are a mess, sometimes 9 sometimes 11")

    assert found is not None
    assert found.unclear == ("naps",)


def test_only_a_message_of_nothing_else_tells_only_the_day() -> None:
    assert tells_only_the_day("up at 7, naps 9 to 10 and bed at 7")
    assert not tells_only_the_day("up at 7, naps 9 to 10, then she went limp")
    assert not tells_only_the_day("naps 9 to 10")
