"""Every reply of the tables is read with its urgency, and nothing is raised where nothing should be."""

from __future__ import annotations

import pytest

from tests.concerns.cases import Case, replies


@pytest.mark.parametrize("urgency", ["act_now", "same_day", "tell_therapist"])
def test_concerns_are_read_with_their_urgency(urgency: str) -> None:
    read = {case: case.read().concern for case in replies(urgency)}
    wrong = [
        (case.text, concern)
        for case, concern in read.items()
        if concern is None or concern.urgency != urgency
    ]
    assert wrong == []


def test_ordinary_replies_raise_nothing() -> None:
    raised = [(case.text, concern) for case in replies("nothing") if (concern := case.read().concern)]
    assert raised == []


@pytest.mark.parametrize("case", list(replies("act_now"))[::7], ids=lambda case: case.text)
def test_a_concern_is_found_among_other_news(case: Case) -> None:
    for text in (
        f"did 10 min tummy time. {case.text}",
        f"{case.text}. otherwise 5 min on my lap",
        f"hi, thanks for the video\n{case.text}",
    ):
        concern = case.read(text).concern
        assert concern is not None
        assert concern.urgency == "act_now", text
