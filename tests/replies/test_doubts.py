"""What is asked about: entries that a report leaves open, and nothing that only stands in passing."""

from __future__ import annotations

import pytest

from tests.replies.said import read, said

SAID_DONE = [
    ("en", "finished!"),
    ("en", "all done now"),
    ("en", "exercises done"),
    ("es", "hecho"),
    ("es", "ya hicimos los ejercicios"),
]
NO_REPORT = [
    ("en", "we are done with it all, please stop the messages"),
    ("en", "the fever is gone and she is ok again, thank you"),
    ("en", "ultrasound done, all is well with the hip"),
    ("en", "can the therapist ring me after 5"),
    ("en", "can i put her on her tummy after a feed?"),
    ("en", "already 5 soaked nappies today"),
    ("es", "listo, ya no manden más mensajes"),
    ("es", "ya se le pasó la tos, amaneció tranquila"),
    ("es", "¿la puedo cargar en la mochila?"),
    ("es", "sin fiebre, le salió treinta y seis y medio"),
]
LEFT_OPEN = [
    ("en", "a bit of tummy time, no idea how long", "tummy_time ?"),
    ("es", "un ratito de pancita, no sé cuánto", "tummy_time ?"),
    ("en", "8", "unnamed 8"),
    ("es", "ayer 9", "unnamed 9 -1"),
]


@pytest.mark.parametrize(("language", "text"), SAID_DONE)
def test_done_without_a_reminder_is_asked_about(language: str, text: str) -> None:
    reading = read(text, "", language)
    assert reading.entries == ()
    assert reading.confirm


@pytest.mark.parametrize(("language", "text"), NO_REPORT)
def test_a_number_or_deed_in_passing_is_not_asked_about(language: str, text: str) -> None:
    reading = read(text, "", language)
    assert reading.entries == ()
    assert not reading.confirm


@pytest.mark.parametrize(("language", "text", "entry"), LEFT_OPEN)
def test_a_report_that_leaves_something_open_is_asked_about(language: str, text: str, entry: str) -> None:
    parts = said(text, "", language).split(" | ")
    assert parts[0] == entry
    assert parts[-1] == "confirm"


@pytest.mark.parametrize(
    ("text", "entry"),
    [("9 min, yesterday 0", "tummy_time 9"), ("0. we are on the road all day", "skip away")],
)
def test_none_beside_minutes_or_a_reason_is_no_entry(text: str, entry: str) -> None:
    assert said(text) == entry


@pytest.mark.parametrize(
    ("language", "text"),
    [
        ("en", "ask the physio whether a sling seat is fine"),
        ("es", "consúltele a la doctora si la puedo llevar en la mochila"),
        ("es", "preguntale si puede dormir de ese lado"),
    ],
)
def test_a_question_to_be_passed_on_is_one_for_the_therapist(language: str, text: str) -> None:
    reading = read(text, "", language)
    assert reading.request is not None
    assert reading.request.kind == "question"
    assert not reading.confirm


@pytest.mark.parametrize(
    ("language", "text", "activity"),
    [
        ("en", "what arm is it for side lying", "side_lying"),
        ("en", "what side again for side lying", "side_lying"),
        ("es", "de qué lado era la pelota", "football_hold"),
        ("es", "con qué brazo va la pelota", "football_hold"),
    ],
)
def test_a_question_which_side_asks_to_be_shown_the_activity(language: str, text: str, activity: str) -> None:
    assert said(text, "", language) == f"ask refresher {activity}"


def test_a_question_about_something_else_with_a_side_shows_no_activity() -> None:
    assert "refresher" not in said("what side effects does the vaccine have?")
