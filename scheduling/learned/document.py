"""What was heard, and earlier suggestions, as JSON values."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Any

from scheduling.learned.heard import OUTCOMES, TOLD, Heard
from scheduling.plan.problems import shown

Wrong = Callable[[str, str], None]
"""Takes the path of a field and what is wrong with it."""

_YEARS = (1970, 2200)
_KINDS = ", ".join(sorted(OUTCOMES | TOLD))


def heard_from(value: object, wrong: Wrong) -> tuple[Heard, ...]:
    """Return what a list of entries says was heard; null is the same as none. Each problem is given to `wrong`."""
    if value is None:
        return ()
    if not isinstance(value, list):
        wrong("heard", f"{shown(value)} is not allowed: give a list of entries")
        return ()
    found = (_right_entry(each) or _entry(place, each, wrong) for place, each in enumerate(value))
    return tuple([entry for entry in found if entry is not None])


def _right_entry(value: Any) -> Heard | None:
    """Return what an entry says; None where anything of it is wrong. Most are right, and a family has hundreds."""
    try:
        what = value["what"]
        at = datetime.fromisoformat(value["at"])
        answered_at = None
        if what in OUTCOMES:
            told = value["answered_at"]
            answered_at = None if told is None else datetime.fromisoformat(told)
            if type(value["activity"]) is not str:
                return None
        elif what not in TOLD:
            return None
    except (KeyError, TypeError, ValueError):
        return None
    return Heard(what, at, answered_at) if _is_known(at) and _is_known(answered_at) else None


def _is_known(at: datetime | None) -> bool:
    return at is None or (at.tzinfo is not None and _YEARS[0] <= at.year <= _YEARS[1])


def _entry(place: int, value: object, wrong: Wrong) -> Heard | None:
    if not isinstance(value, dict):
        wrong(f"heard[{place}]", f"{shown(value)} is not allowed: give what and at")
        return None
    what = value.get("what")
    if not isinstance(what, str) or (what not in OUTCOMES and what not in TOLD):
        wrong(f"heard[{place}].what", f"{shown(what)} is not allowed: give one of {_KINDS}")
        return None
    at = _instant(place, "at", value.get("at"), wrong)
    answered_at = None
    if what in OUTCOMES:
        if not isinstance(value.get("activity"), str):
            wrong(
                f"heard[{place}].activity",
                f"{shown(value.get('activity'))} is not allowed: give an activity's id",
            )
        if "answered_at" not in value:
            wrong(f"heard[{place}].answered_at", "is missing: give the local time of the answer, or null")
        elif value["answered_at"] is not None:
            answered_at = _instant(place, "answered_at", value["answered_at"], wrong)
    return None if at is None else Heard(what, at, answered_at)  # type: ignore[arg-type]


def _instant(place: int, name: str, value: object, wrong: Wrong) -> datetime | None:
    try:
        found = datetime.fromisoformat(value) if isinstance(value, str) else None
    except ValueError:
        found = None
    if found is not None and _is_known(found):
        return found
    wrong(
        f"heard[{place}].{name}",
        f"{shown(value)} is not allowed: give a local time with its offset (ISO 8601)",
    )
    return None
