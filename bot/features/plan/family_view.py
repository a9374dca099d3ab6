"""A plan, and what changed in it, in plain words of one language. Pure."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from bot.features.formats import date_shown, day_shown, minute_shown
from bot.phrases import Words
from scheduling.plan import Activity, ArmHold, MinutesADay, Plan, Ratio, ShareOfAwake, Target, TimesADay
from scheduling.plan.difference import ActivityChanged, Added, BabyChanged, Change, DayChanged, Removed

NameOf = Callable[[str], str]
"""The display name of an activity id, in the reader's language."""


def change_line(change: Change, plan: Plan, words: Words, name_of: NameOf) -> str:
    """Return one change as one line of plain text. plan: the newer version."""
    match change:
        case Added(activity):
            return words.plain("change.added", what=activity_line(activity, plan, words, name_of))
        case Removed(activity):
            return words.plain("change.removed", activity=name_of(activity.activity))
        case ActivityChanged(activity, field, _, after):
            return words.plain(
                "change.activity", activity=name_of(activity), what=_field(field, after, plan, words)
            )
        case DayChanged(field, _, after):
            return _day_line(field, after, words)
        case BabyChanged("nickname", _, after):
            return words.plain("change.nickname", nickname=after)
        case BabyChanged(_, _, after):
            return words.plain("change.weak_side", side=words.plain(f"change.side_{after}"))


def activity_line(activity: Activity, plan: Plan, words: Words, name_of: NameOf) -> str:
    """Return an activity of a plan in one line: "Tummy time, 40 min a day, 5 to 10 min at a time, either side in turn"."""
    parts = [name_of(activity.activity)]
    for field in ("target", "session", "side", "moments", "after_feed", "before_feed", "from_", "until"):
        value = getattr(activity, field)
        if value not in (None, 0, "none"):
            parts.append(_field(field, value, plan, words))
    return ", ".join(parts)


def plan_summary(plan: Plan, words: Words, name_of: NameOf) -> str:
    """Return the plan in one short line: names and targets alone."""
    if not plan.activities:
        return words.plain("change.empty_plan")
    return "; ".join(
        " ".join([name_of(each.activity), *([_target(each.target, words)] if each.target else [])])
        for each in plan.activities
    )


def _field(field: str, value: Any, plan: Plan, words: Words) -> str:
    match field:
        case "target" if value is None:
            return words.plain("change.in_goal")
        case "target" if isinstance(value, MinutesADay):
            return words.plain("change.target", target=_target(value, words))
        case "target":
            return _target(value, words)
        case "when":
            return words.plain("change.early" if value else "change.not_early")
        case "session":
            least, most = value
            key = "change.session_one" if least == most else "change.session"
            return words.plain(key, most=most) if least == most else words.plain(key, least=least, most=most)
        case "side":
            return _side(value, plan, words)
        case "moments" if value is None:
            return words.plain("change.any_time")
        case "moments":
            names = _listed(words.plain(f"change.moment_{name}") for name in value)
            return words.plain("change.at_moments", moments=names)
        case "from_" | "until" if value is None:
            return words.plain(f"change.no_{field.rstrip('_')}")
        case "from_" | "until":
            return words.plain(f"change.{field.rstrip('_')}", day=date_shown(value, words))
        case _:
            return words.plain(f"change.{field}", minutes=value)


def _target(target: Target, words: Words) -> str:
    match target:
        case MinutesADay(minutes):
            return words.plain("change.minutes", minutes=f"{minutes:g}")
        case ShareOfAwake(share):
            return words.plain("change.share", percent=round(share * 100))
        case TimesADay(1):
            return words.plain("change.once")
        case TimesADay(times):
            return words.plain("change.times", times=times)


def _side(rule: Any, plan: Plan, words: Words) -> str:
    weak = plan.baby.affected_side
    strong = {"left": "right", "right": "left"}.get(weak, weak)
    if isinstance(rule, Ratio):
        if not rule.affected or not rule.unaffected:
            return _side("affected" if rule.affected else "unaffected", plan, words)
        return words.plain(
            "change.ratio",
            weak_side=words.plain(f"change.side_{weak}"),
            strong_side=words.plain(f"change.side_{strong}"),
            weak=f"{rule.affected:g}",
            strong=f"{rule.unaffected:g}",
        )
    if rule in ("affected", "unaffected"):
        side = weak if rule == "affected" else strong
        return words.plain("change.one_side", side=words.plain(f"change.side_{side}"))
    return words.plain("change.in_turn" if rule == "alternate" else "change.no_side")


def _day_line(field: str, value: Any, words: Words) -> str:
    match field:
        case "awake":
            return _or_none("awake", [_span(span, words) for span in value], words)
        case "feeds":
            return _or_none("feeds", [minute_shown(at, words) for at in value], words)
        case "moments":
            shown = [
                f"{words.plain(f'change.moment_{name}')} {_listed(minute_shown(at, words) for at in times)}"
                for name, times in value
                if times
            ]
            return _or_none("moments", shown, words)
        case "quiet":
            return _or_none("quiet", [] if value is None else [_span(value, words)], words)
        case "goals":
            return words.plain("change.goals") if value else words.plain("change.no_goals")
        case "arm_hold":
            return words.plain("arm.ended") if value is None else arm_hold_told(value, words)
        case "time_zone":
            return words.plain("change.time_zone", zone=value.split("/")[-1].replace("_", " "))
        case "most_prompts":
            return words.plain("change.most_prompts", n=value)
        case _:
            return words.plain("change.shortest_gap", minutes=value)


def arm_hold_told(hold: ArmHold, words: Words) -> str:
    """Return what a family is told once of a hold of the arm (plain text)."""
    reason = words.plain(f"arm.reason_{hold.reason}")
    if hold.until is None:
        return words.plain("arm.told", reason=reason)
    return words.plain("arm.told_until", reason=reason, day=day_shown(hold.until, words))


def _or_none(field: str, shown: list[str], words: Words) -> str:
    if not shown:
        return words.plain(f"change.no_{field}")
    return words.plain(f"change.{field}", what=_listed(shown))


def _span(span: tuple[int, int], words: Words) -> str:
    return f"{minute_shown(span[0], words)}–{minute_shown(span[1], words)}"


def _listed(parts: Iterable[str]) -> str:
    return ", ".join(parts)
