"""The plan a therapist writes for one family: its values, its document, and the difference of two.

A plan has one address: the names of model.py and document.py are offered here.
"""

from scheduling.plan.document import plan_from, plan_schema
from scheduling.plan.holds import arm_rested, held_plan
from scheduling.plan.model import (
    MIDNIGHT,
    Activity,
    ArmHold,
    Baby,
    Dose,
    Goal,
    HoldReason,
    MinutesADay,
    MomentName,
    NextStep,
    Plan,
    PlanProblems,
    Problem,
    Ratio,
    ShareOfAwake,
    SideRule,
    Target,
    TimesADay,
)
from scheduling.plan.written import document_of
from scheduling.sides import AffectedSide, Side

__all__ = [
    "MIDNIGHT",
    "Activity",
    "AffectedSide",
    "ArmHold",
    "Baby",
    "Dose",
    "Goal",
    "HoldReason",
    "MinutesADay",
    "MomentName",
    "NextStep",
    "Plan",
    "PlanProblems",
    "Problem",
    "Ratio",
    "ShareOfAwake",
    "Side",
    "SideRule",
    "Target",
    "TimesADay",
    "arm_rested",
    "document_of",
    "held_plan",
    "plan_from",
    "plan_schema",
]
