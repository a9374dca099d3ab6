from __future__ import annotations

import json
import logging

import pytest
import structlog

from bot.logs import MOST_A_MINUTE, Pace, Seldom, Wordless, seldom, steps, where_it_broke


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


SAID = "her hand is zanzibar blue"


def _broken(said: str) -> Exception:
    """Return an error of reading whose message, and whose cause's, holds what a person said."""
    found: Exception = AssertionError("no number")
    try:
        try:
            float(said)
        except ValueError as error:
            raise LookupError(said) from error
    except LookupError as error:
        found = error
    return found


def test_an_error_is_told_by_its_place_and_never_by_words_of_a_person() -> None:
    told = where_it_broke(_broken(SAID))

    assert told.startswith("LookupError < test_logs.py:") and "after ValueError" in told
    assert "zanzibar" not in told


def test_a_librarys_line_with_an_error_is_told_without_its_message() -> None:
    error = _broken(SAID)
    record = logging.LogRecord(
        "library", logging.ERROR, __file__, 1, "Task failed", (), (type(error), error, error.__traceback__)
    )

    assert "zanzibar" not in Wordless("%(message)s").format(record)


def test_our_own_event_with_an_error_is_told_without_its_message(capsys: pytest.CaptureFixture[str]) -> None:
    logger = structlog.wrap_logger(
        structlog.PrintLogger(), processors=[*steps(Pace()), structlog.processors.JSONRenderer()]
    )
    try:
        raise _broken(SAID)
    except LookupError:
        logger.exception("update not handled", seq=7)
    line = capsys.readouterr().out

    assert json.loads(line)["exception"].startswith("LookupError < test_logs.py:")
    assert "zanzibar" not in line
