"""What changed from one version of a plan to the next, as values for the therapist's digest. Pure."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from scheduling.plan import Activity, MinutesADay, Plan, Ratio, ShareOfAwake, TimesADay, difference

ChangeKind = Literal[
    "added", "removed", "target", "session", "side", "moments", "dates", "feed_gaps", "own_gap", "weight",
    "when", "next", "goals", "day", "quiet", "most_prompts", "shortest_gap", "baby", "time_zone", "arm_hold",
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
    """Return the changes, activities first, then what holds for the whole day; one of each kind."""
    found = (_change(change, before, after) for change in difference.changes_between(before, after))
    return tuple(dict.fromkeys(found))


def _change(change: difference.Change, before: Plan, after: Plan) -> PlanChange:
    match change:
        case difference.Added(activity):
            return PlanChange("added", activity.activity, None, _target(activity))
        case difference.Removed(activity):
            return PlanChange("removed", activity.activity)
        case difference.ActivityChanged(name, field):
            what, shown = ACTIVITY_KINDS[field]
            old, new = before.activity(name), after.activity(name)
            return PlanChange(what, name, shown(old) if old else None, shown(new) if new else None)
        case difference.DayChanged("most_prompts" | "shortest_gap" | "time_zone" as field, was, now):
            return PlanChange(field, None, f"{was}", f"{now}")
        case difference.DayChanged("goals" | "arm_hold" as field):
            return PlanChange(field)
        case difference.DayChanged("quiet"):
            return PlanChange("quiet")
        case difference.DayChanged():
            return PlanChange("day")
        case difference.BabyChanged():
            return PlanChange("baby")


def _target(each: Activity) -> str:
    match each.target:
        case MinutesADay(minutes):
            return f"{minutes:g}"
        case ShareOfAwake(share):
            return f"{100 * share:g} %"
        case TimesADay(times):
            return f"{times} ×"
        case None:
            return ""


def _session(each: Activity) -> str:
    least, most = each.session
    return f"{least}" if least == most else f"{least}-{most}"


def _side(each: Activity) -> str:
    return f"{each.side.affected:g}:{each.side.unaffected:g}" if isinstance(each.side, Ratio) else each.side


def _dates(each: Activity) -> str:
    start, end = (day.isoformat() if day else "" for day in (each.from_, each.until))
    return f"{start}/{end}" if start or end else ""


ACTIVITY_KINDS: dict[difference.ActivityField, tuple[ChangeKind, Callable[[Activity], str]]] = {
    "target": ("target", _target),
    "when": ("when", lambda each: each.when or ""),
    "session": ("session", _session),
    "next_step": ("next", lambda each: ""),
    "side": ("side", _side),
    "moments": ("moments", lambda each: ", ".join(each.moments or ())),
    "from_": ("dates", _dates),
    "until": ("dates", _dates),
    "after_feed": ("feed_gaps", lambda each: f"{each.after_feed}/{each.before_feed}"),
    "before_feed": ("feed_gaps", lambda each: f"{each.after_feed}/{each.before_feed}"),
    "own_gap": ("own_gap", lambda each: f"{each.own_gap}"),
    "weight": ("weight", lambda each: f"{each.weight:g}"),
}
