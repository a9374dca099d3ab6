"""Every figure of the digest, computed again by another route: pandas over the raw log of an invented week.

The rules come from the specification of the digest's JSON (what is not known is null, never 0), not from the code.
"""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pandas as pd
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.digest.due import Due
from bot.digest.facts import (
    DayFacts,
    FamilyFacts,
    ObservationFact,
    PreviousFacts,
    PromptFact,
    SessionFact,
    SkipFact,
)
from bot.digest.week import digest_of

ZONE = ZoneInfo("America/Chicago")
MONDAY = date(2026, 3, 2)
PRONE = ["tummy_time", "lap_tummy_time", "chest_tummy_time", "forearm_carry"]
ACTIVITIES = ["tummy_time", "forearm_carry", "football_hold", "side_lying"]
DUE = {"tummy_time": 30.0, "forearm_carry": 10.0, "football_hold": 20.0}
KINDS = ["head_turn", "tolerated_poorly", "roll"]

sides = st.sampled_from([None, "left", "right"])
session_rows = st.lists(
    st.fixed_dictionaries(
        {
            "activity": st.sampled_from(ACTIVITIES),
            "minutes": st.integers(1, 960).map(lambda quarters: quarters / 4),
            "side": sides,
            "day": st.integers(0, 6),
            "carer": st.sampled_from(["Mum", "Dad"]),
        }
    ),
    max_size=25,
)
observation_rows = st.lists(
    st.fixed_dictionaries({"kind": st.sampled_from(KINDS), "side": sides, "day": st.integers(0, 6)}),
    max_size=12,
)
weeks = st.fixed_dictionaries(
    {
        "sessions": session_rows,
        "observations": observation_rows,
        "words": st.sets(st.integers(0, 6)),
        "awake": st.lists(st.integers(300, 720), min_size=7, max_size=7),
        "prompts": st.lists(
            st.sampled_from(["sent", "answered", "later", "skipped", "expired"]), max_size=20
        ),
        "skips": st.lists(st.sampled_from(["asleep", "no_time", "other"]), max_size=6),
    }
)


def at(first: date, day: int) -> datetime:
    when = first + timedelta(days=day)
    return datetime(when.year, when.month, when.day, 10, tzinfo=ZONE)


def sessions_of(raw: dict[str, Any], first: date) -> tuple[SessionFact, ...]:
    return tuple(
        SessionFact(
            str(n),
            row["activity"],
            row["minutes"],
            row["side"],
            first + timedelta(days=row["day"]),
            at(first, row["day"]),
            row["carer"],
        )
        for n, row in enumerate(raw["sessions"])
    )


def observations_of(raw: dict[str, Any], first: date) -> tuple[ObservationFact, ...]:
    return tuple(
        ObservationFact(
            row["kind"], row["side"], first + timedelta(days=row["day"]), at(first, row["day"]), "Mum"
        )
        for row in raw["observations"]
    )


def days_of(raw: dict[str, Any], first: date) -> tuple[DayFacts, ...]:
    due = tuple(Due(activity, minutes) for activity, minutes in DUE.items())
    return tuple(
        DayFacts(first + timedelta(days=n), float(awake), due) for n, awake in enumerate(raw["awake"])
    )


def words_of(raw: dict[str, Any], first: date) -> frozenset[date]:
    return frozenset(first + timedelta(days=n) for n in raw["words"])


def facts_of(raw: dict[str, Any], before: dict[str, Any] | None) -> FamilyFacts:
    earlier = MONDAY - timedelta(days=7)
    skip_day = min(raw["words"], default=0)
    return FamilyFacts(
        family="f1",
        nickname="Pip",
        time_zone="America/Chicago",
        affected_side="left",
        born=date(2025, 12, 1),
        gestation_weeks=39,
        days=days_of(raw, MONDAY),
        as_of=at(MONDAY, 6) + timedelta(hours=12),
        days_with_word=words_of(raw, MONDAY),
        sessions=sessions_of(raw, MONDAY),
        observations=observations_of(raw, MONDAY),
        prompts=tuple(PromptFact("tummy_time", None, MONDAY, state) for state in raw["prompts"]),
        skips=tuple(
            SkipFact(reason, "tummy_time", MONDAY + timedelta(days=skip_day), at(MONDAY, skip_day), "Mum")
            for reason in raw["skips"]
        ),
        previous=None
        if before is None
        else PreviousFacts(
            days=days_of(before, earlier),
            days_with_word=words_of(before, earlier),
            sessions=sessions_of(before, earlier),
            observations=observations_of(before, earlier),
        ),
    )


def known_days(raw: dict[str, Any]) -> set[int]:
    told = {row["day"] for row in raw["sessions"]} | {row["day"] for row in raw["observations"]}
    skipped = {min(raw["words"], default=0)} if raw["skips"] else set()
    return set(raw["words"]) | told | skipped


def log(raw: dict[str, Any]) -> pd.DataFrame:
    return pd.DataFrame(raw["sessions"], columns=["activity", "minutes", "side", "day", "carer"])


@settings(max_examples=60, deadline=None)
@given(raw=weeks)
def test_the_minutes_of_every_activity_are_the_sums_of_the_raw_log(raw: dict[str, Any]) -> None:
    rows = digest_of(facts_of(raw, None)).as_json()["activities"]
    frame, known = log(raw), known_days(raw)

    extra = sorted(set(frame.activity) - set(DUE))
    assert [row["activity"] for row in rows] == [*DUE, *extra]
    for row in rows:
        mine = frame[frame.activity == row["activity"]]
        assert row["target_minutes"] == (7 * DUE[row["activity"]] if row["activity"] in DUE else None)
        if not known:
            assert {row[k] for k in ("minutes", "left", "right", "unsided", "sessions", "days_with_any")} == {
                None
            }
            continue
        assert row["minutes"] == mine.minutes.sum()
        assert row["left"] == mine.loc[mine.side == "left", "minutes"].sum()
        assert row["right"] == mine.loc[mine.side == "right", "minutes"].sum()
        assert row["unsided"] == mine.loc[mine.side.isna(), "minutes"].sum()
        assert row["sessions"] == len(mine)
        assert row["days_with_any"] == mine.day.nunique()


@settings(max_examples=60, deadline=None)
@given(raw=weeks)
def test_the_share_on_the_tummy_is_prone_minutes_over_waking_minutes_of_known_days(
    raw: dict[str, Any],
) -> None:
    prone = digest_of(facts_of(raw, None)).as_json()["prone"]
    frame, known = log(raw), known_days(raw)

    if not known:
        assert prone == {"minutes": None, "awake_minutes": None, "share": None}
        return
    minutes = frame[frame.activity.isin(PRONE)].minutes.sum()
    awake = pd.Series(raw["awake"])[sorted(known)].sum()
    assert prone["minutes"] == minutes
    assert prone["awake_minutes"] == awake
    assert abs(prone["share"] - minutes / awake) < 1e-12


@settings(max_examples=60, deadline=None)
@given(raw=weeks, before=st.none() | weeks)
def test_observations_are_counted_by_kind_and_side_beside_the_week_before(
    raw: dict[str, Any], before: Any
) -> None:
    rows = digest_of(facts_of(raw, before)).as_json()["observations"]
    columns = ["kind", "side", "day"]
    now = pd.DataFrame(raw["observations"], columns=columns).fillna("none").groupby(["kind", "side"]).size()
    then_rows = before["observations"] if before else []
    then = pd.DataFrame(then_rows, columns=columns).fillna("none").groupby(["kind", "side"]).size()
    # Told in the week before only: its skips are not part of what is compared.
    known_before = bool(before and (before["words"] or before["sessions"] or before["observations"]))

    counted = {(row["kind"], row["side"] or "none"): (row["count"], row["previous_week"]) for row in rows}
    assert set(counted) == set(now.index) | set(then.index)
    for key, (count, previous) in counted.items():
        assert count == (now.get(key, 0) if known_days(raw) else None)
        assert previous == (then.get(key, 0) if known_before else None)


@settings(max_examples=40, deadline=None)
@given(raw=weeks)
def test_prompts_skips_carers_and_silent_days_are_counts_of_the_raw_log(raw: dict[str, Any]) -> None:
    digest = digest_of(facts_of(raw, None)).as_json()
    states = pd.Series(raw["prompts"], dtype=object).value_counts()
    frame = log(raw)

    assert digest["prompts"]["sent"] == len(raw["prompts"])
    for state in ("answered", "later", "skipped", "expired"):
        assert digest["prompts"][state] == states.get(state, 0)
    assert digest["skips"] == pd.Series(raw["skips"], dtype=object).value_counts().to_dict()
    assert digest["days_without_word"] == 7 - len(known_days(raw))
    by_carer = frame.groupby("carer").minutes.agg(["size", "sum"])
    assert {row["carer"]: (row["entries"], row["minutes"]) for row in digest["carers"]} == {
        carer: (row["size"], row["sum"]) for carer, row in by_carer.iterrows()
    }


@settings(max_examples=40, deadline=None)
@given(raw=weeks, before=weeks)
def test_the_change_from_last_week_compares_minutes_a_day_with_word(
    raw: dict[str, Any], before: dict[str, Any]
) -> None:
    digest = digest_of(facts_of(raw, before))
    # Skips of the week before are no part of its facts.
    then = before | {"skips": []}

    for figures in digest.activities:
        if figures.activity not in DUE:
            continue
        for pace, week in ((figures.pace, raw), (figures.previous_pace, then)):
            frame, known = log(week), known_days(week)
            if not known:
                assert pace is None
            else:
                assert pace is not None
                minutes = frame[frame.activity == figures.activity].minutes.sum()
                assert abs(pace.a_day - minutes / len(known)) < 1e-9
