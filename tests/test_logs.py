from __future__ import annotations

import ast
import json
import logging
from collections.abc import Iterator
from io import StringIO
from pathlib import Path

import pytest
import structlog
from hypothesis import given
from hypothesis import strategies as st
from telegram.error import BadRequest

import bot
from bot import commands
from bot.errors import where_it_broke
from bot.logs import MOST_A_MINUTE, Pace, Seldom, Wordless, seldom, steps


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


# ---------------------------------------------------------------- every line that we write

ERRORS = st.sampled_from((ValueError, KeyError, LookupError, RuntimeError, BadRequest))
METHODS = {"debug", "info", "warning", "error", "exception"}
# What a call may tell beside its event: numbers and names of our own, the database's reason, and errors as they are, of which
# only the kind and the place is written.
TOLD = {
    *("again_in", "attempts", "away_seconds", "error", "error_type", "exc_info", "family", "kind", "material", "meaning"),
    *("name", "outbox", "outcome", "reason", "reminder", "seconds", "seq", "updates", "what", "work"),
}  # fmt: skip
SOURCES = sorted(Path(bot.__file__).parent.rglob("*.py"))


@given(kind=ERRORS, cause=ERRORS, said=st.text(st.characters(codec="utf-8"), max_size=30))
def test_no_error_brings_its_words_into_a_line_however_it_comes(
    kind: type[Exception], cause: type[Exception], said: str
) -> None:
    said = f"zanzibar {said}"
    written = StringIO()
    logger = structlog.wrap_logger(
        structlog.PrintLogger(written), processors=[*steps(Pace()), structlog.processors.JSONRenderer()]
    )
    try:
        try:
            raise cause(said)
        except Exception as error:
            raise kind(said) from error
    except Exception as error:
        logger.exception("not handled", seq=7)
        logger.warning("not handled", error=error)
        logger.error("not handled", exc_info=error)

    lines = written.getvalue().splitlines()
    assert len(lines) == 3
    assert all(f"{kind.__name__} < " in line and "zanzibar" not in line for line in lines)


def _log_calls() -> Iterator[tuple[str, ast.Call]]:
    for path in SOURCES:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if (
                isinstance(node, ast.Call)
                and isinstance(node.func, ast.Attribute)
                and node.func.attr in METHODS
                and isinstance(node.func.value, ast.Name)
                and node.func.value.id in ("log", "logger")
            ):
                yield f"{path.name}:{node.lineno}", node


def _may_hold_words(value: ast.expr) -> bool:
    """Whether a value is made of text in place: an error turned into words, or parts put together."""
    return any(
        isinstance(each, ast.JoinedStr | ast.BinOp)
        or (isinstance(each, ast.Name) and each.id in ("str", "repr", "format"))
        or (isinstance(each, ast.Attribute) and each.attr in ("message", "args", "text", "raw", "payload"))
        for each in ast.walk(value)
    )


def test_every_call_tells_a_fixed_event_and_values_that_hold_no_words() -> None:
    calls = list(_log_calls())

    assert len(calls) > 25
    for where, call in calls:
        assert [type(each) for each in call.args] == [ast.Constant], where
        for each in call.keywords:
            assert each.arg in TOLD, f"{where} tells {each.arg}"
            assert each.arg in ("again_in", "away_seconds", "seconds") or not _may_hold_words(each.value), (
                where
            )


def breaks_nothing(*_: object) -> None:
    """Leave this process's signals as they are."""


def test_what_was_not_foreseen_is_told_without_its_message(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def breaks(*_: object, **__: object) -> None:
        raise _broken(SAID)

    monkeypatch.setattr("bot.commands.all.app", breaks)
    monkeypatch.setattr("sys.argv", ["underwing", "check"])
    monkeypatch.setattr("signal.signal", breaks_nothing)
    with pytest.raises(SystemExit):
        commands.main()
    told = capsys.readouterr().err

    assert "LookupError < test_logs.py:" in told and "--debug" in told
    assert "zanzibar" not in told
