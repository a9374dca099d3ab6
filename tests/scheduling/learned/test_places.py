"""A day with what was heard: the laws that hold whatever was heard."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime, timedelta
from random import Random
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bot.commands.work.day import wording_in
from scheduling.case import case_from
from tests.scheduling.day_laws import Laws
from tests.scheduling.day_rules import broken_rules
from tests.scheduling.families import activity, cases, document

WHATS = (
    "done",
    "asleep",
    "later",
    "refused",
    "no_answer",
    "told_asleep",
    "told_awake",
    "told_feed",
    "session",
)
DAY = "2026-03-04"
LONE = document(activity(minutes=5, session=(5, 5)))


def answer(case: dict[str, Any]) -> dict[str, Any]:
    return case_from(case).answer(wording_in("en"))


def entry(what: str, at: datetime, late: int | None = 5) -> dict[str, Any]:
    told: dict[str, Any] = {"what": what, "at": at.isoformat()}
    if what in WHATS[:5]:
        told["activity"] = "reach"
        told["answered_at"] = (
            None if late is None or what == "no_answer" else (at + timedelta(minutes=late)).isoformat()
        )
    return told


def at(hour: int, minute: int = 0, *, ago: int = 1, day: str = DAY) -> datetime:
    on = date.fromisoformat(day) - timedelta(days=ago)
    return datetime(on.year, on.month, on.day, hour, minute, tzinfo=UTC)


@st.composite
def odd_heard(draw: st.DrawFn) -> list[dict[str, Any]]:
    """Draw any heard: one kind only, one minute a thousand times, other years, or all mixed."""
    random = Random(draw(st.integers(0, 10**9)))
    kinds = draw(st.sampled_from([WHATS, ("refused",), ("done",), ("no_answer", "done"), ("told_asleep",)]))
    spread = draw(st.sampled_from([1, 28, 28, 4000]))
    count = draw(st.sampled_from([1, 40, 200]))
    once = at(random.randrange(24), random.randrange(60), ago=random.randrange(1, 8))
    made = []
    for _ in range(count):
        when = (
            once
            if spread == 1
            else at(random.randrange(24), random.randrange(60), ago=random.randrange(-2, spread))
        )
        made.append(entry(random.choice(kinds), when, random.choice([None, 2, 45])))
    return made


def per_activity(day: dict[str, Any]) -> list[tuple[str, int]]:
    return sorted((prompt["activity"], prompt["minutes"]) for prompt in day["prompts"])


def spans_touched(plan: dict[str, Any], day: dict[str, Any]) -> int:
    starts = [prompt["at"][11:16] for prompt in day["prompts"]]
    return sum(any(first <= start < end for start in starts) for first, end in plan["awake"])


@settings(max_examples=25)
@given(cases(), odd_heard(), st.sampled_from([1, 1, 3]))
def test_whatever_was_heard_no_rule_is_broken_and_only_times_change(
    case: dict[str, Any], heard: list[dict[str, Any]], days: int
) -> None:
    case = case | {"days": days}
    without, heeded = answer(case), answer(case | {"heard": heard})

    for place, (before, after) in enumerate(zip(without["days"], heeded["days"], strict=True)):
        assert per_activity(before) == per_activity(after)
        assert [row["short"] for row in before["targets"]] == [row["short"] for row in after["targets"]]
        assert spans_touched(case["plan"], after) >= spans_touched(case["plan"], before) - 1
        if place == 0:
            assert broken_rules(case, after) == []
        elif days > 1:
            earlier = [_as_logged(prompt) for day in heeded["days"][:place] for prompt in day["prompts"]]
            shown = case | {"date": after["date"], "log": [*(case.get("log") or []), *earlier]}
            shown |= {"from": None, "asleep_until": None}
            assert broken_rules(shown, after) == []


def _as_logged(prompt: dict[str, Any]) -> dict[str, Any]:
    kept = {name: prompt[name] for name in ("activity", "minutes", "side", "at")}
    return kept | {"prompted": True}


@settings(max_examples=30, deadline=None, suppress_health_check=list(HealthCheck))
@given(cases(sizes=("small", "tight", "night"), goals=True), odd_heard())
def test_whatever_was_heard_turns_of_goals_and_early_hours_are_kept(
    case: dict[str, Any], heard: list[dict[str, Any]]
) -> None:
    [without] = answer(case | {"days": 1})["days"]
    [heeded] = answer(case | {"days": 1, "heard": heard})["days"]

    assert per_activity(without) == per_activity(heeded)
    assert broken_rules(case, heeded) == []
    assert Laws(case, heeded).broken() == []


@settings(max_examples=25)
@given(cases(), odd_heard(), st.randoms(use_true_random=False))
def test_entries_in_another_order_give_the_same_answer(
    case: dict[str, Any], heard: list[dict[str, Any]], random: Random
) -> None:
    shuffled = random.sample(heard, len(heard))

    assert answer(case | {"heard": heard}) == answer(case | {"heard": shuffled})


@pytest.mark.parametrize("heard", [None, []])
@given(case=cases())
@settings(max_examples=20)
def test_nothing_heard_is_the_answer_without(case: dict[str, Any], heard: Any) -> None:
    assert json.dumps(answer(case)) == json.dumps(answer(case | {"heard": heard}))


def lone_start(heard: list[dict[str, Any]]) -> int:
    [prompt] = answer({"plan": LONE, "date": DAY, "heard": heard})["days"][0]["prompts"]
    return int(prompt["at"][11:13]) * 60 + int(prompt["at"][14:16])


@given(
    st.lists(st.tuples(st.sampled_from(WHATS), st.integers(7, 18), st.integers(1, 20)), max_size=60),
    st.booleans(),
)
@settings(max_examples=80)
def test_one_more_taken_up_or_one_left_far_away_leaves_a_lone_prompt(
    told: list[tuple[str, int, int]], taken: bool
) -> None:
    # Every day was answered once, so that no day becomes silent, or no longer silent, by the one more.
    answered = [entry("refused", at(7, ago=ago)) for ago in range(1, 21)]
    heard = answered + [entry(what, at(hour, ago=ago)) for what, hour, ago in told]
    stands = lone_start(heard)
    away = stands + 120 if stands < 13 * 60 else stands - 120
    one = stands if taken else away
    more = entry("done" if taken else "no_answer", at(one // 60, one % 60, ago=1))

    assert abs(lone_start([*heard, more]) - stands) <= 60


def test_twenty_not_taken_up_and_twenty_that_were_elsewhere_move_it_there() -> None:
    stands = lone_start([])
    missed = [entry("no_answer", at(stands // 60, stands % 60, ago=ago)) for ago in range(1, 21)]
    taken = [entry("done", at(9, ago=ago)) for ago in range(1, 21)]

    assert abs(lone_start(missed + taken) - 9 * 60) <= 60
    assert abs(stands - 9 * 60) > 60


def test_a_silent_fortnight_tells_nothing_of_times() -> None:
    good = [entry("done", at(hour, ago=ago)) for hour in (9, 10) for ago in range(15, 25)]
    missed = [entry("no_answer", at(13, ago=ago)) for ago in range(15, 25)]
    silent = [entry("no_answer", at(9, ago=ago)) for ago in range(1, 15)]

    assert lone_start(good + missed + silent) == lone_start(good + missed)


def test_a_moment_s_prompt_moves_to_another_of_its_instants_only() -> None:
    plan = document(
        activity(minutes=5, session=(5, 5), moments=["nappy"]), moments={"nappy": ["09:00", "12:10", "16:00"]}
    )
    heard = [entry("done", at(16, ago=ago)) for ago in range(1, 20)]
    heard += [entry("refused", at(12, 10, ago=ago)) for ago in range(1, 20)]

    [prompt] = answer({"plan": plan, "date": DAY, "heard": heard})["days"][0]["prompts"]

    assert (prompt["at"][11:16], prompt["moment"]) == ("16:00", "nappy")


@pytest.mark.parametrize(
    ("heard", "place"),
    [
        ([{"what": "sang", "at": "2026-03-03T10:00+00:00"}], "heard[0].what"),
        ([entry("session", at(9)), {"what": "session"}], "heard[1].at"),
        ([{"what": "session", "at": "2026-03-03T10:00"}], "heard[0].at"),
        ([entry("done", at(9)) | {"answered_at": "late"}], "heard[0].answered_at"),
        ([{"what": "done", "at": "2026-03-03T10:00Z", "answered_at": None}], "heard[0].activity"),
        ([{"what": "done", "at": "2026-03-03T10:00Z", "activity": "reach"}], "heard[0].answered_at"),
        ([7], "heard[0]"),
        ({"what": "done"}, "heard"),
    ],
)
def test_what_cannot_be_read_is_named(heard: Any, place: str) -> None:
    with pytest.raises(ValueError, match=place.replace("[", r"\[").replace("]", r"\]")):
        answer({"plan": LONE, "date": DAY, "heard": heard})


def test_on_the_night_of_a_clock_change_hours_stay_those_of_the_wall() -> None:
    plan = document(activity(minutes=5, session=(5, 5)), time_zone="America/Halifax")
    zone = timedelta(hours=4)
    heard = [
        entry(what, at(hour, ago=ago, day="2026-03-08") + zone)
        for ago in range(1, 15)
        for what, hour in (("done", 10), ("no_answer", 13))
    ]

    [prompt] = answer({"plan": plan, "date": "2026-03-08", "heard": heard})["days"][0]["prompts"]

    assert abs(int(prompt["at"][11:13]) * 60 + int(prompt["at"][14:16]) - 600) <= 60
