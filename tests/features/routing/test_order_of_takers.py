"""Which feature a carer's message is offered to first: the order of the early exits, situation by situation."""

from __future__ import annotations

from dataclasses import replace

import pytest

from bot.concerns.finding import Concern
from bot.features.routing.rules import Situation, Taker, says_more, says_nothing, takers, without_lengths
from bot.replies.reading import Entry, Observation, Reading, Request

NOTHING = Reading()
MINUTES = Reading(entries=(Entry("tummy_time", 12, None),))
WORRIED = Reading(concern=Concern("act_now", ("blue",)))
UNCLEAR = Reading(unclear=Concern("act_now", ("blue",)), confirm=True)


@pytest.mark.parametrize(
    ("situation", "order"),
    [
        (Situation(reading=MINUTES), ("dialog", "correction", "entries")),
        (Situation(reading=MINUTES, quotes=True), ("thread", "confidence", "dialog", "correction", "entries")),
        (Situation(reading=MINUTES, step="question"), ("written_question", "dialog", "correction", "entries")),
        (
            Situation(reading=MINUTES, step="question", quotes=True),
            ("thread", "confidence", "dialog", "correction", "entries"),
        ),
        (Situation(reading=MINUTES, step="confidence"), ("confidence", "dialog", "correction", "entries")),
        (Situation(reading=MINUTES, step="minutes"), ("minutes", "dialog", "correction", "entries")),
        (Situation(reading=MINUTES, entry_waits=True), ("entry_question", "dialog", "correction", "entries")),
        (
            Situation(reading=MINUTES, step="minutes", entry_waits=True),
            ("minutes", "entry_question", "dialog", "correction", "entries"),
        ),
        (Situation(reading=WORRIED, step="minutes", entry_waits=True), ("dialog", "correction", "entries")),
        (Situation(reading=UNCLEAR, entry_waits=True), ("dialog", "correction", "entries")),
        (Situation(reading=MINUTES, quotes=True, entry_waits=True), ("thread", "confidence", "dialog", "correction", "entries")),
        (Situation(reading=NOTHING, asleep=True, awake=True), ("dialog", "awake", "correction", "entries")),
        (Situation(reading=NOTHING, awake=True), ("dialog", "correction", "entries")),
        (Situation(reading=MINUTES, asleep=True, awake=True), ("dialog", "correction", "entries")),
        (Situation(reading=NOTHING, thanks=True), ("dialog", "pleasantry", "correction", "entries")),
        (Situation(reading=WORRIED, thanks=True), ("dialog", "correction", "entries")),
        (Situation(reading=NOTHING, wish=True), ("dialog", "correction", "frequency", "entries")),
        (Situation(reading=MINUTES, wish=True), ("dialog", "correction", "entries")),
        (Situation(reading=MINUTES, edited=True, step="minutes", entry_waits=True), ("correction", "entries")),
        (Situation(reading=NOTHING, concern_open=True), ("dialog", "correction", "news", "entries")),
        (Situation(reading=MINUTES, concern_open=True), ("dialog", "correction", "entries")),
        (
            Situation(reading=MINUTES, concern_open=True, speaks_of_alarm=True, entry_waits=True),
            ("news", "entry_question", "dialog", "correction", "entries"),
        ),
        (
            Situation(reading=WORRIED, concern_open=True, speaks_of_alarm=True),
            ("dialog", "correction", "entries"),
        ),
        (Situation(reading=MINUTES, speaks_of_alarm=True), ("dialog", "correction", "entries")),
        (Situation(reading=NOTHING, edited=True, thanks=True), ("pleasantry", "correction", "entries")),
    ],
)  # fmt: skip
def test_a_message_is_offered_in_this_order(situation: Situation, order: tuple[Taker, ...]) -> None:
    assert takers(situation) == order


def test_whatever_the_situation_something_takes_the_message_last() -> None:
    for step in (None, "question", "confidence", "minutes", "shape"):
        for quotes in (False, True):
            for edited in (False, True):
                order = takers(Situation(reading=MINUTES, step=step, quotes=quotes, edited=edited))
                assert order[-1] == "entries"
                assert len(set(order)) == len(order)


@pytest.mark.parametrize(
    "reading",
    [
        MINUTES,
        WORRIED,
        UNCLEAR,
        Reading(skipped="asleep"),
        Reading(observations=(Observation("roll", None),)),
        Reading(request=Request("help")),
    ],
)
def test_a_reading_with_anything_in_it_says_something(reading: Reading) -> None:
    assert not says_nothing(reading)


def test_words_that_were_not_understood_say_nothing_by_themselves() -> None:
    assert says_nothing(Reading(unread="zebra", confirm=True))


def test_minutes_alone_are_no_answer_in_own_words_but_minutes_beside_them_may_be() -> None:
    assert says_more(MINUTES)
    assert not says_more(replace(MINUTES, unread="I hold her under the chest"))
    assert not says_more(Reading(request=Request("question")))
    assert says_more(Reading(request=Request("later")))


def test_a_length_that_nobody_knows_is_asked_for_and_is_no_question_to_the_therapist() -> None:
    read = Reading(entries=(Entry("tummy_time", 10, None),), request=Request("question"))

    asked = without_lengths(read)

    assert asked.entries == (Entry("tummy_time", None, None),)
    assert asked.confirm and asked.request is None
    assert without_lengths(NOTHING) == NOTHING
