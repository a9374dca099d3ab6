from __future__ import annotations

import json
import logging

import pytest
import structlog

from bot.logs import MOST_A_MINUTE, Pace, Seldom, seldom


def test_of_one_kind_so_many_are_told_a_minute_and_then_how_many_were_not() -> None:
    now = 100.0
    pace = Pace(most=3, now=lambda: now)

    assert [pace.held_back("closed") for _ in range(10)] == [0, 0, 0, *[None] * 7]
    assert pace.held_back("another kind") == 0
    now = 161.0
    assert [pace.held_back("closed") for _ in range(4)] == [7, 0, 0, None]


def test_a_flood_of_a_librarys_warnings_is_a_few_lines(caplog: pytest.LogCaptureFixture) -> None:
    logger = logging.getLogger("underwing.test")
    caplog.handler.addFilter(Seldom(Pace()))
    for number in range(1000):
        logger.warning("Invalid request %s", number)

    assert len(caplog.records) == MOST_A_MINUTE


def test_a_flood_of_our_own_events_is_a_few_lines(capsys: pytest.CaptureFixture[str]) -> None:
    logger = structlog.wrap_logger(
        structlog.PrintLogger(), processors=[seldom(Pace()), structlog.processors.JSONRenderer()]
    )
    for number in range(1000):
        logger.warning("connection closed", number=number)
    lines = capsys.readouterr().out.splitlines()

    assert [json.loads(line)["number"] for line in lines] == list(range(MOST_A_MINUTE))
