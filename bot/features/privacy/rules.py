"""What a carer may ask for: who is the last of a family, what a copy holds, who may come back. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Literal

from bot.domain.people import Carer
from bot.domain.roles import is_day_care, is_group

COMES_BACK_WITHIN = timedelta(days=7)

Step = Literal["copy", "ask_own", "ask_all", "erase_own", "erase_all", "keep"]


def is_last(carer: Carer, of_family: Sequence[Carer]) -> bool:
    """Say whether no one else of the family is left: day care and the family's group do not count."""
    if is_day_care(carer) or carer.put_out:
        return False
    return not any(
        each.id != carer.id
        and each.state in ("active", "joining")
        and not is_day_care(each)
        and not is_group(each)
        for each in of_family
    )


def step(pressed: str, *, last: bool) -> Step:
    """Return what a button asks for. last: whether this carer is; nobody else erases what is the whole family's."""
    match pressed:
        case "copy":
            return "copy"
        case "erase":
            return "ask_own"
        case "erase:sure":
            return "erase_own"
        case "all" if last:
            return "ask_all"
        case "all:sure" if last:
            return "erase_all"
        case _:
            return "keep"


def copy_holds_family(carer: Carer) -> bool:
    """Say whether a copy holds what is the family's: not for day care, nor for who left."""
    return not is_day_care(carer) and carer.state != "left"


def may_come_back(carer: Carer, left_at: datetime | None, now: datetime) -> bool:
    """Say whether one tap takes a leaving back: within the week, and never for who was put out."""
    return not carer.put_out and left_at is not None and now - left_at <= COMES_BACK_WITHIN
