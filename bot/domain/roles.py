"""Who somebody is to the baby, and what that lets them see.

Day care sees only what it needs for the holds: reminders, cards and today. The week's picture, the day's shape and the
other carers' words stay with the family.
"""

from __future__ import annotations

from bot.domain.people import Carer

UNASKED = "parent"  # what a carer is called until they say who they are
DAY_CARE = "day_care"
GROUP = "group"  # a family's group chat, which gets reminders like a carer
ROLES = ("mother", "father", "grandparent", DAY_CARE, "other")  # what a carer may choose


def is_day_care(carer: Carer) -> bool:
    """A clinic's file may say "day care" or "daycare": all mean the same."""
    return carer.role.lower().replace(" ", "").replace("_", "").replace("-", "") == "daycare"


def is_group(carer: Carer) -> bool:
    return carer.role == GROUP
