"""The edge of reading: contexts and lines, right and wrong."""

from __future__ import annotations

import json
from typing import Any

import pytest

from bot.replies.context import BadReply, answer_line, context_from
from bot.replies.reading import Prompted
from tests.replies.said import WEDNESDAY_MORNING

GOOD: dict[str, Any] = {
    "now": "2026-03-04T10:20:00-06:00",
    "language": "es",
    "affected_side": "both",
    "age_weeks": 9,
    "plan": ["tummy_time"],
    "prompt": {"activity": "bath", "side": "left", "minutes": 5},
}


def test_a_whole_document_becomes_a_context() -> None:
    context = context_from(GOOD)

    assert context.prompt == Prompted("bath", "left", 5)
    assert context.now.utcoffset() is not None
    assert context.plan == ("tummy_time",)


def test_prompt_and_plan_may_be_absent() -> None:
    context = context_from({key: GOOD[key] for key in ("now", "language", "affected_side", "age_weeks")})

    assert context.prompt is None
    assert context.plan == ()


@pytest.mark.parametrize(
    ("change", "place"),
    [
        ({"now": "2026-03-04T10:20:00"}, "now"),
        ({"now": "soon"}, "now"),
        ({"language": "fr"}, "language"),
        ({"affected_side": None}, "affected_side"),
        ({"age_weeks": -1}, "age_weeks"),
        ({"plan": ["tummy_time", "swimming"]}, "plan[1]"),
        ({"prompt": {"activity": "bath"}}, "prompt.minutes"),
        ({"prompt": {"activity": "bath", "minutes": 0}}, "prompt.minutes"),
        ({"prompt": {"activity": "bath", "minutes": 5, "side": "up"}}, "prompt.side"),
        ({"weather": "fine"}, "weather"),
    ],
)
def test_a_wrong_field_is_named(change: dict[str, Any], place: str) -> None:
    with pytest.raises(BadReply) as caught:
        context_from({**GOOD, **change})

    assert str(caught.value).startswith(place)


@pytest.mark.parametrize("document", [None, [], "text", 5])
def test_a_document_that_is_no_object_is_refused(document: object) -> None:
    with pytest.raises(BadReply):
        context_from(document)


@pytest.mark.parametrize(
    "line",
    [
        "",
        "{",
        "[]",
        "null",
        '{"text": 5, "context": {}}',
        '{"text": "a", "context": 3}',
        "[" * 9999,
    ],
)
def test_a_line_that_cannot_be_read_is_answered_with_an_error(line: str) -> None:
    answer = json.loads(answer_line(line, WEDNESDAY_MORNING))

    assert list(answer) == ["error"]
    assert answer["error"]


def test_a_reply_longer_than_a_message_can_be_is_refused() -> None:
    answer = json.loads(answer_line(json.dumps({"text": "a" * 4097, "context": GOOD}), WEDNESDAY_MORNING))

    assert answer["error"].startswith("text")


def test_a_good_line_is_answered_with_a_reading() -> None:
    answer = json.loads(answer_line(json.dumps({"text": "10 min", "context": GOOD}), WEDNESDAY_MORNING))

    assert answer["entries"][0] == {
        "activity": "bath", "minutes": 10, "side": "left", "day_offset": 0, "at": None,
    }  # fmt: skip
