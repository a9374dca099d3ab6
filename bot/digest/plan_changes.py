"""What changed from one version of a plan to the next, as values for the therapist's digest. Pure."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Literal

from scheduling.plan import Activity, MinutesADay, Plan, Ratio

ChangeKind = Literal[
    "added", "removed", "target", "session", "side", "moments", "dates", "feed_gaps", "own_gap", "weight",
    "day", "quiet", "most_prompts", "shortest_gap", "baby", "time_zone",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class PlanChange:
    """One thing that changed. activity: id, None for the whole plan. before, after: as short text without language
    ("30", "50 %", "5-10", "2:1", dates as ISO 8601), None where the change is told by its kind alone."""

    what: ChangeKind
    activity: str | None = None
    before: str | None = None
    after: str | None = None


def changes_between(before: Plan, after: Plan) -> tuple[PlanChange, ...]:
    """Return the changes, activities first in the order of the new plan, then what holds for the whole day."""
    found: list[PlanChange] = []
    old = {each.activity: each for each in before.activities}
    new = {each.activity: each for each in after.activities}
    for activity, now in new.items():
        if activity not in old:
            found.append(PlanChange("added", activity, None, _target(now)))
        else:
            found.extend(_of_activity(old[activity], now))
    found.extend(PlanChange("removed", activity) for activity in old if activity not in new)
    return (*found, *_of_day(before, after))


def _target(each: Activity) -> str:
    if isinstance(each.target, MinutesADay):
        return f"{each.target.minutes:g}"
    return f"{100 * each.target.share:g} %"


def _session(each: Activity) -> str:
    least, most = each.session
    return f"{least}" if least == most else f"{least}-{most}"


def _side(each: Activity) -> str:
    return f"{each.side.affected:g}:{each.side.unaffected:g}" if isinstance(each.side, Ratio) else each.side


def _dates(each: Activity) -> str:
    start, end = (day.isoformat() if day else "" for day in (each.from_, each.until))
    return f"{start}/{end}" if start or end else ""


FIELDS: tuple[tuple[ChangeKind, Callable[[Activity], str]], ...] = (
    ("target", _target),
    ("session", _session),
    ("side", _side),
    ("moments", lambda each: ", ".join(each.moments or ())),
    ("dates", _dates),
    ("feed_gaps", lambda each: f"{each.after_feed}/{each.before_feed}"),
    ("own_gap", lambda each: f"{each.own_gap}"),
    ("weight", lambda each: f"{each.weight:g}"),
)


def _of_activity(old: Activity, new: Activity) -> Iterator[PlanChange]:
    for what, shown in FIELDS:
        was, now = shown(old), shown(new)
        if was != now:
            yield PlanChange(what, new.activity, was, now)


def _of_day(before: Plan, after: Plan) -> Iterator[PlanChange]:
    if (before.awake, before.feeds, before.moments) != (after.awake, after.feeds, after.moments):
        yield PlanChange("day")
    if before.quiet != after.quiet:
        yield PlanChange("quiet")
    for what, was, now in (
        ("most_prompts", before.most_prompts, after.most_prompts),
        ("shortest_gap", before.shortest_gap, after.shortest_gap),
    ):
        if was != now:
            yield PlanChange(
                "most_prompts" if what == "most_prompts" else "shortest_gap", None, f"{was}", f"{now}"
            )
    if before.baby != after.baby:
        yield PlanChange("baby")
    if before.time_zone != after.time_zone:
        yield PlanChange("time_zone", None, before.time_zone, after.time_zone)
