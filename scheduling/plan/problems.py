"""What is wrong with a plan document, in words: the field's path, the value given, what is allowed."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterator
from datetime import date
from typing import Any

from scheduling.plan.allowed import ALLOWED, MOMENTS, TARGET
from scheduling.plan.model import Problem

_CLOCK_FORM = re.compile(r"([01][0-9]|2[0-3]):[0-5][0-9]|24:00")


def path_of(loc: tuple[int | str, ...]) -> str:
    """Return "activities[0].session[1]" for ("activities", 0, "session", 1); names in <> are left out."""
    path = ""
    for part in loc:
        if isinstance(part, int):
            path += f"[{part}]"
        elif not part.startswith("<"):
            path += f".{part}" if path else part
    return path


def problem_of(kind: str, loc: tuple[int | str, ...], value: object) -> Problem:
    """Return the problem that a validation error stands for. kind: pydantic's error type."""
    path = path_of(loc)
    field = re.sub(r"\[\d+\]", "[]", path)
    if kind == "missing":
        return Problem(path, f"is missing: give {ALLOWED[field]}")
    if kind in ("extra_forbidden", "invalid_key"):
        parent, _, name = field.rpartition(".")
        known = _fields_of(parent)
        near = difflib.get_close_matches(name, known, n=1)
        hint = f"did you mean {near[0]}?" if near else f"known here: {', '.join(known)}"
        return Problem(path, f"is no field of a plan (given: {shown(value)}); {hint}")
    allowed = ALLOWED.get(field) or ALLOWED.get(
        re.sub(r"^moments\.\w+", "feeds", field), "what the schema says"
    )
    return Problem(path, f"{shown(value)} is not allowed: give {allowed}")


def _fields_of(parent: str) -> list[str]:
    if parent == "moments":
        return re.findall(r"\w+", MOMENTS.replace(" or ", " "))
    prefix = f"{parent}." if parent else ""
    names = [key[len(prefix) :] for key in ALLOWED if key and key.startswith(prefix)]
    return [name for name in names if re.fullmatch(r"\w+", name)]


def shown(value: object) -> str:
    """Return a value as a person should see it in an error: short, on one line."""
    text = value.isoformat() if isinstance(value, date) else repr(value)
    return text if len(text) <= 60 else text[:57] + "..."


def relations(document: object) -> list[Problem]:
    """Return the problems of fields that are right alone and wrong together. Passes over what is wrong alone."""
    if not isinstance(document, dict):
        return []
    return [
        *_awake(document.get("awake")),
        *_quiet(document.get("quiet")),
        *_activities(document),
        *_goals(document),
        *_arm_hold(document.get("arm_hold")),
    ]


def _arm_hold(hold: Any) -> Iterator[Problem]:
    if isinstance(hold, dict):
        yield from _dates("arm_hold", hold.get("from"), hold.get("until"))


def _awake(spans: object) -> Iterator[Problem]:
    if not isinstance(spans, list):
        return
    last_end = ""
    for place, span in enumerate(spans):
        if not _is_clock_pair(span):
            continue
        start, end = span
        if start >= end:
            yield Problem(
                f"awake[{place}]",
                f"{shown(span)} is not allowed: it must end after it starts, by midnight (24:00)",
            )
        elif start < last_end:
            yield Problem(
                f"awake[{place}]",
                f"{shown(span)} is not allowed: spans stand in order and do not overlap, and the one before ends at {last_end}",
            )
        last_end = max(last_end, end)


def _quiet(quiet: Any) -> Iterator[Problem]:
    if _is_clock_pair(quiet) and quiet[0] == quiet[1]:
        yield Problem("quiet", f"{shown(quiet)} is not allowed: give {ALLOWED['quiet']}")


def _is_clock_pair(value: Any) -> bool:
    return (
        isinstance(value, list)
        and len(value) == 2
        and all(isinstance(at, str) and _CLOCK_FORM.fullmatch(at) for at in value)
    )


def _activities(document: dict[Any, Any]) -> Iterator[Problem]:
    activities = document.get("activities")
    baby = document.get("baby")
    both = isinstance(baby, dict) and baby.get("affected_side") == "both"
    seen: dict[str, int] = {}
    for place, each in enumerate(activities if isinstance(activities, list) else ()):
        if not isinstance(each, dict):
            continue
        here = f"activities[{place}]"
        name = each.get("activity")
        if isinstance(name, str):
            if name in seen:
                yield Problem(
                    f"{here}.activity",
                    f"{shown(name)} is given twice, first at activities[{seen[name]}]: give each activity once",
                )
            seen.setdefault(name, place)
        yield from _session(f"{here}.session", each.get("session"))
        yield from _dates(here, each.get("from"), each.get("until"))
        yield from _side(f"{here}.side", each.get("side"), both)
        yield from _ladder(here, each)


def _ladder(here: str, activity: dict[Any, Any]) -> Iterator[Problem]:
    """Yield what is wrong with the next step and the easier form of an activity."""
    name, easier, step = activity.get("activity"), activity.get("easier"), activity.get("next")
    if isinstance(easier, str) and easier == name:
        yield Problem(f"{here}.easier", f"{shown(easier)} is the activity itself: give an easier one")
    if not isinstance(step, dict):
        return
    then, when = step.get("then"), step.get("when")
    if isinstance(then, str) and then == name:
        yield Problem(f"{here}.next.then", f"{shown(then)} is the activity itself: give another, or a dose")
    if isinstance(then, dict):
        yield from _session(f"{here}.next.then.session", then.get("session"))
        if all(then.get(field) is None for field in ("target", "session")):
            yield Problem(f"{here}.next.then", "changes nothing: give target, session or both")
        target = then.get("target")
        if isinstance(target, dict) and len([each for each in target.values() if each is not None]) != 1:
            yield Problem(
                f"{here}.next.then.target", f"{shown(target)} is not allowed: give one of the two kinds"
            )
    if isinstance(when, dict):
        days, of = when.get("days"), when.get("of")
        if type(days) is int and type(of) is int and days > of > 0:
            yield Problem(f"{here}.next.when.days", f"{days} is not allowed: give no more than of ({of})")


def _goals(document: dict[Any, Any]) -> Iterator[Problem]:
    """Yield what is wrong between goals and activities, where both can be read."""
    activities: Any = document.get("activities")
    goals: Any = document.get("goals", [])
    if not (_are_named(activities, "activity") and _are_named(goals, "goal")):
        return
    known = {each["activity"] for each in activities}
    seen: dict[str, int] = {}
    reached: set[str] = set()
    for place, goal in enumerate(goals):
        name = goal["goal"]
        if name in seen:
            yield Problem(
                f"goals[{place}].goal",
                f"{shown(name)} is given twice, first at goals[{seen[name]}]: give each goal once",
            )
        seen.setdefault(name, place)
        members = goal.get("activities")
        names = [each for each in members if isinstance(each, str)] if isinstance(members, list) else []
        reached |= set(names)
        yield from _members(f"goals[{place}].activities", members, known)
    for place, each in enumerate(activities):
        if each.get("target") is None and each["activity"] not in reached:
            yield Problem(
                f"activities[{place}].target", f"is missing, and no goal holds the activity: give {TARGET}"
            )


def _are_named(value: Any, field: str) -> bool:
    return isinstance(value, list) and all(
        isinstance(each, dict) and isinstance(each.get(field), str) and each[field].strip() for each in value
    )


def _members(path: str, names: Any, known: set[str]) -> Iterator[Problem]:
    for place, name in enumerate(names if isinstance(names, list) else ()):
        if not isinstance(name, str):
            continue
        if name in names[:place]:
            yield Problem(f"{path}[{place}]", f"{shown(name)} is given twice: give each activity once")
        elif name.strip() and name not in known:
            near = difflib.get_close_matches(name, known, n=1)
            hint = f"did you mean {near[0]}?" if near else f"known here: {', '.join(sorted(known)) or 'none'}"
            yield Problem(f"{path}[{place}]", f"{shown(name)} is no activity of this plan; {hint}")


def _session(path: str, session: object) -> Iterator[Problem]:
    if isinstance(session, list) and len(session) == 2 and all(type(n) in (int, float) for n in session):
        least, most = session
        if least > most:
            yield Problem(path, f"{shown(session)} is not allowed: the least must not pass the most")


def _dates(path: str, first: object, last: object) -> Iterator[Problem]:
    try:
        start, end = (date.fromisoformat(each) if isinstance(each, str) else each for each in (first, last))
    except ValueError:
        return
    if type(start) is date and type(end) is date and end < start:
        yield Problem(
            f"{path}.until", f"{shown(end)} is not allowed: give a date on or after from ({shown(start)})"
        )


def _side(path: str, side: object, both: bool) -> Iterator[Problem]:
    if both and (side in ("affected", "unaffected") or isinstance(side, dict)):
        yield Problem(
            path, f"{shown(side)} is not allowed with baby.affected_side both: give none or alternate"
        )
    elif isinstance(side, dict) and side.get("affected") == 0 and side.get("unaffected") == 0:
        yield Problem(path, f"{shown(side)} is not allowed: one side must be above 0")
