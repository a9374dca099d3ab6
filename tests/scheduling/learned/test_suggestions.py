"""`learn`: what is asked about the told day, and when nothing is."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from typer import Typer
from typer.testing import CliRunner

from bot.commands.learn import learn
from bot.phrases import words_for
from bot.phrases.learned import suggestion_in_words
from scheduling.learn_case import learn_case_from
from scheduling.plan import plan_from
from tests.scheduling.families import activity, document
from tests.scheduling.learned.test_places import entry, odd_heard

DAY = date(2026, 3, 4)
NAPS = [["07:00", "09:30"], ["10:30", "13:00"], ["14:30", "17:00"], ["17:30", "19:30"]]
PLAN = document(activity(), awake=NAPS, feeds=["07:00", "10:30", "14:30"])

app = Typer()
app.command()(learn)


def asked(heard: list[dict[str, Any]], day: date = DAY, plan: Any = PLAN, **rest: Any) -> dict[str, Any]:
    case = {"plan": plan, "date": day.isoformat(), "heard": heard, **rest}
    return learn_case_from(case).answer(lambda found: suggestion_in_words(found, words_for("en")))


def on(ago: int, clock: str) -> datetime:
    day = DAY - timedelta(days=ago)
    return datetime(day.year, day.month, day.day, int(clock[:2]), int(clock[3:]), tzinfo=UTC)


def drifted(days: int = 5, asleep: str = "14:50") -> list[dict[str, Any]]:
    """The nap of 13:00 to 14:30 really lasts from 13:45 to 15:15; its reminders before and after were done."""
    late = [entry("asleep", on(ago, asleep)) for ago in range(1, days + 1)]
    return late + [
        entry("done", on(ago, clock)) for ago in range(1, days + 1) for clock in ("12:30", "16:00")
    ]


def as_asked(found: dict[str, Any], day: date = DAY) -> dict[str, Any]:
    return {"date": day.isoformat()} | {name: found[name] for name in ("field", "from_value", "to_value")}


def test_five_days_that_agree_bring_the_edge_seen_nearer() -> None:
    [found] = asked(drifted())["suggest"]

    [_, [_, begins], [ends, _], _] = found["to_value"]
    assert found["field"] == "awake"
    assert found["from_value"] == NAPS
    assert "14:45" <= ends <= "15:30"
    assert begins > "13:00"
    assert found["evidence"] == {"days": 5, "of": 5}
    assert found["because"].startswith("Asleep at about 2:50 PM on 5 of 5 days. Has the nap from 1:00 PM")


@pytest.mark.parametrize(
    ("kind", "heard", "change"),
    [
        ("awake", [("told_awake", "13:20"), ("session", "14:00")], "gone"),
        ("asleep", [("told_asleep", "15:50"), ("asleep", "16:00"), ("told_asleep", "15:55")], "a new nap"),
        ("night", [("asleep", "18:50"), ("told_asleep", "19:00")], "the night now begin"),
        ("morning", [("told_asleep", "07:20"), ("asleep", "07:30")], "the day now begin"),
        ("feed", [("told_feed", "11:30")], "the feed at 10:30"),
        ("new feed", [("told_feed", "17:45")], "a new feed at 5:45"),
    ],
)
def test_each_kind_of_change_is_asked_by_what_speaks_for_it(
    kind: str, heard: list[tuple[str, str]], change: str
) -> None:
    told = [entry(what, on(ago, clock)) for ago in range(1, 7) for what, clock in heard]

    [found] = asked(told)["suggest"]

    assert change in found["because"]


@pytest.mark.parametrize("heard", [drifted(2), drifted(0), drifted(5, asleep="14:36")])
def test_two_dates_none_or_minutes_at_an_edge_are_no_evidence(heard: list[dict[str, Any]]) -> None:
    assert asked(heard)["suggest"] == []


def test_silence_alone_is_no_evidence() -> None:
    assert asked([entry("no_answer", on(ago, "14:50")) for ago in range(3, 15)])["suggest"] == []


def test_nothing_is_asked_after_two_silent_days() -> None:
    silent = [entry("no_answer", on(ago, "16:00")) for ago in (1, 2)]
    earlier = [each for each in drifted(9) if each["at"] < on(2, "00:00").isoformat()]

    assert asked(earlier)["suggest"]
    assert asked(earlier + silent)["suggest"] == []


def test_at_most_two_are_asked_in_seven_days() -> None:
    other = {"field": "feeds", "from_value": ["07:00"], "to_value": ["09:00"]}
    last = [other | {"date": (DAY - timedelta(days=ago)).isoformat()} for ago in (1, 6)]

    assert asked(drifted(), refused=last[:1])["suggest"]
    assert asked(drifted(), refused=last[:1], confirmed=last[1:])["suggest"] == []


def test_what_was_refused_is_not_asked_again_for_ten_days_and_then_by_what_was_heard_since() -> None:
    [found] = asked(drifted())["suggest"]
    for later in range(1, 10):
        day = DAY + timedelta(days=later)
        again = [entry("asleep", on(-ago, "14:50")) for ago in range(later)]
        found_later = asked(drifted() + again, day, refused=[as_asked(found)])["suggest"]
        assert [each["to_value"] for each in found_later] != [found["to_value"]]

    day = DAY + timedelta(days=10)
    assert asked([entry("asleep", on(-ago, "14:50")) for ago in range(10)], day, refused=[as_asked(found)])[
        "suggest"
    ]


def test_what_was_confirmed_is_not_undone() -> None:
    [found] = asked(drifted())["suggest"]
    changed = PLAN | {"awake": found["to_value"]}

    for later in range(1, 8):
        day = DAY + timedelta(days=later)
        assert asked(drifted(), day, changed, confirmed=[as_asked(found)])["suggest"] == []


def test_windows_count_every_reminder_once_with_silent_days() -> None:
    heard = [
        entry("done", on(1, "09:10")),
        entry("done", on(2, "09:50"), 45),
        entry("no_answer", on(3, "09:00")),
    ]
    heard += [entry("session", on(1, "12:00")), entry("done", on(29, "09:10")), entry("done", on(0, "09:10"))]

    assert asked(heard)["receptive"] == [{"from": "09:00", "to": "10:00", "answered": 1, "asked": 3}]


@settings(max_examples=100)
@given(odd_heard(), st.sampled_from([[], ["refused"], ["confirmed"]]))
def test_whatever_was_heard_a_suggestion_keeps_the_laws(
    heard: list[dict[str, Any]], before: list[str]
) -> None:
    earlier = {name: [as_asked(found) for found in asked(drifted())["suggest"]] for name in before}
    for found in asked(heard, DAY, PLAN, **earlier)["suggest"]:
        days, of = found["evidence"]["days"], found["evidence"]["of"]
        assert 3 <= days <= of <= 14 and days >= 0.6 * of
        assert len(found["because"]) <= 160
        assert found["field"] in ("awake", "feeds")
        changed = plan_from(PLAN | {found["field"]: found["to_value"]})
        assert all(start < end for start, end in changed.awake)
        assert abs(len(found["to_value"]) - len(found["from_value"])) <= 1
        edges = _clocks(found["to_value"]) - _clocks(found["from_value"])
        assert all(clock[-1] in "05" for clock in edges)


def _clocks(value: Any) -> set[str]:
    return {clock for each in value for clock in ([each] if isinstance(each, str) else each)}


@pytest.mark.parametrize("language", ["en", "es"])
def test_the_command_answers_a_line_each_and_goes_on_after_a_bad_one(language: str) -> None:
    case = {"plan": PLAN, "date": DAY.isoformat(), "heard": drifted()}
    bad = case | {"refused": [{"date": "2026-03-01", "field": "quiet", "from_value": [], "to_value": []}]}
    typed = "".join(json.dumps(each) + "\n" for each in (bad, case))

    result = CliRunner().invoke(app, ["--lines", "--json", "--language", language], input=typed)

    first, second = map(json.loads, result.stdout.splitlines())
    assert first["error"].startswith("refused[0].field")
    assert "5" in second["suggest"][0]["because"]
    assert len(second["suggest"][0]["because"]) <= 160


def test_the_same_entries_in_another_order_are_the_same_bytes() -> None:
    heard = drifted()

    assert json.dumps(asked(heard)) == json.dumps(asked(heard[::-1]))
