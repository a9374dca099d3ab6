"""Reading and writing the plan document (JSON or YAML): the edge where every problem is named.

The models check each field alone; `_relations` checks fields against each other, on whatever of the document
is right, so that one wrong field never hides another.
"""

from __future__ import annotations

from datetime import date
from functools import lru_cache
from typing import Annotated, Any, Literal, get_args
from zoneinfo import available_timezones

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Discriminator,
    Field,
    Tag,
    ValidationError,
)

from scheduling.plan import model as values
from scheduling.plan.allowed import ALLOWED
from scheduling.plan.next_document import NextDocument, next_step_of
from scheduling.plan.problems import problem_of, relations

CLOCK = r"^([01][0-9]|2[0-3]):[0-5][0-9]$"
CLOCK_OR_MIDNIGHT = r"^(([01][0-9]|2[0-3]):[0-5][0-9]|24:00)$"


@lru_cache(maxsize=1)
def _zones() -> frozenset[str]:
    return frozenset(available_timezones())


def _whole(value: object) -> object:
    """Read 30.0 as 30, as JSON Schema's "integer" does."""
    return int(value) if isinstance(value, float) and value.is_integer() else value


def _day(value: object) -> object:
    """Read the ISO form of a date; YAML gives dates ready made."""
    if isinstance(value, str):
        if len(value) != 10:
            raise ValueError("not YYYY-MM-DD")
        return date.fromisoformat(value)
    if type(value) is not date:
        raise ValueError("not a date")
    return value


def _known_zone(value: str) -> str:
    if value not in _zones():
        raise ValueError("unknown zone")
    return value


def _not_blank(value: str) -> str:
    if not value.strip():
        raise ValueError("blank")
    return value


Day = Annotated[date, BeforeValidator(_day)]
Clock = Annotated[str, Field(pattern=CLOCK)]
SpanEnd = Annotated[str, Field(pattern=CLOCK_OR_MIDNIGHT)]
Name = Annotated[str, Field(min_length=1, max_length=100), AfterValidator(_not_blank)]
Number = Annotated[float, Field(allow_inf_nan=False)]
Minutes = Annotated[int, Field(ge=0, le=1440), BeforeValidator(_whole)]
GapMinutes = Annotated[int, Field(ge=0, le=10080), BeforeValidator(_whole)]
SessionMinutes = Annotated[int, Field(ge=1, le=1440), BeforeValidator(_whole)]
Pair = Field(min_length=2, max_length=2)


class _Model(BaseModel):
    model_config = ConfigDict(strict=True, extra="forbid", populate_by_name=False)


class BabyDocument(_Model):
    nickname: Name
    born: Day
    gestation_weeks: Annotated[int, Field(ge=20, le=45), BeforeValidator(_whole)]
    affected_side: Literal["left", "right", "both"]


class MinutesDocument(_Model):
    minutes: Annotated[Number, Field(ge=0, le=1440)]


class ShareDocument(_Model):
    share_of_awake: Annotated[Number, Field(ge=0, le=1)]


class TimesDocument(_Model):
    times: Annotated[int, Field(ge=1, le=24), BeforeValidator(_whole)]


class RatioDocument(_Model):
    affected: Annotated[Number, Field(ge=0, le=1000)]
    unaffected: Annotated[Number, Field(ge=0, le=1000)]


class MomentsDocument(_Model):
    nappy: list[Clock] = []
    dressing: list[Clock] = []
    bath: list[Clock] = []
    play: list[Clock] = []
    carry: list[Clock] = []
    bedtime: list[Clock] = []


TARGETS = ("minutes", "share_of_awake", "times")


def _target_kind(value: object) -> str | None:
    if isinstance(value, dict):
        return next((f"<{key}>" for key in TARGETS if key in value), None)
    return None


def _side_kind(value: object) -> str:
    return "<ratio>" if isinstance(value, dict) else "<rule>"


TargetDocument = Annotated[
    Annotated[MinutesDocument, Tag("<minutes>")]
    | Annotated[ShareDocument, Tag("<share_of_awake>")]
    | Annotated[TimesDocument, Tag("<times>")],
    Discriminator(_target_kind),
]


class ActivityDocument(_Model):
    activity: Name
    target: TargetDocument | None = None
    session: Annotated[list[SessionMinutes], Pair]
    after_feed: Minutes = 0
    before_feed: Minutes = 0
    own_gap: GapMinutes = 0
    next: NextDocument | None = None
    easier: Name | None = None
    moments: list[values.MomentName] | None = None
    side: Annotated[
        Annotated[Literal["none", "affected", "unaffected", "alternate"], Tag("<rule>")]
        | Annotated[RatioDocument, Tag("<ratio>")],
        Discriminator(_side_kind),
    ] = "none"
    weight: Annotated[Number, Field(ge=0, le=1_000_000)] = 1
    from_: Annotated[Day | None, Field(alias="from")] = None
    until: Day | None = None
    when: Literal["early"] | None = None


class GoalDocument(_Model):
    goal: Name
    activities: Annotated[list[Name], Field(min_length=1)]
    target: TargetDocument
    weight: Annotated[Number, Field(ge=0, le=1_000_000)] = 1


class ArmHoldDocument(_Model):
    reason: values.HoldReason
    from_: Annotated[Day, Field(alias="from")]
    until: Day | None = None


class PlanDocument(_Model):
    """The plan a therapist writes for one family. Times are local to `time_zone`, written HH:MM."""

    baby: BabyDocument
    time_zone: Annotated[str, AfterValidator(_known_zone)]
    awake: list[Annotated[list[SpanEnd], Pair]]
    feeds: list[Clock] = []
    moments: MomentsDocument = MomentsDocument()
    quiet: Annotated[list[Clock], Pair] | None = None
    most_prompts: Annotated[int, Field(ge=0, le=24), BeforeValidator(_whole)] = 6
    shortest_gap: Minutes = 30
    activities: list[ActivityDocument]
    goals: list[GoalDocument] = []
    arm_hold: ArmHoldDocument | None = None


def plan_from(document: object) -> values.Plan:
    """Return the plan that a document (parsed JSON or YAML) holds.

    Raises:
        PlanProblems: with every problem of the document, each naming its field, the value and what is allowed.
    """
    problems: list[values.Problem] = []
    try:
        model = PlanDocument.model_validate(document)
    except ValidationError as error:
        problems = [problem_of(detail["type"], detail["loc"], detail["input"]) for detail in error.errors()]
    problems += relations(document)
    if problems:
        raise values.PlanProblems(tuple(dict.fromkeys(problems)))
    return _plan_of(model)


def _plan_of(model: PlanDocument) -> values.Plan:
    return values.Plan(
        baby=values.Baby(**model.baby.model_dump()),
        time_zone=model.time_zone,
        awake=tuple((minute_of(start), minute_of(end)) for start, end in model.awake),
        feeds=tuple(map(minute_of, model.feeds)),
        moments=tuple(
            (name, tuple(map(minute_of, getattr(model.moments, name))))
            for name in get_args(values.MomentName)
            if name in model.moments.model_fields_set
        ),
        quiet=(minute_of(model.quiet[0]), minute_of(model.quiet[1])) if model.quiet else None,
        most_prompts=model.most_prompts,
        shortest_gap=model.shortest_gap,
        activities=tuple(map(_activity_of, model.activities)),
        goals=tuple(
            values.Goal(each.goal, tuple(each.activities), _target_of(each.target), each.weight)
            for each in model.goals
        ),
        arm_hold=None
        if model.arm_hold is None
        else values.ArmHold(model.arm_hold.reason, model.arm_hold.from_, model.arm_hold.until),
    )


def _target_of(model: MinutesDocument | ShareDocument | TimesDocument) -> values.Target:
    match model:
        case MinutesDocument():
            return values.MinutesADay(model.minutes)
        case ShareDocument():
            return values.ShareOfAwake(model.share_of_awake)
        case TimesDocument():
            return values.TimesADay(model.times)


def _activity_of(model: ActivityDocument) -> values.Activity:
    return values.Activity(
        activity=model.activity,
        target=None if model.target is None else _target_of(model.target),
        session=(model.session[0], model.session[1]),
        after_feed=model.after_feed,
        before_feed=model.before_feed,
        own_gap=model.own_gap,
        next_step=None if model.next is None else next_step_of(model.next),
        easier=model.easier,
        moments=None if model.moments is None else tuple(model.moments),
        side=model.side if isinstance(model.side, str) else values.Ratio(**model.side.model_dump()),
        weight=model.weight,
        from_=model.from_,
        until=model.until,
        when=model.when,
    )


def minute_of(clock: str) -> int:
    """Return the minutes of the wall clock that "HH:MM" stands for; 1440 for "24:00"."""
    return int(clock[:2]) * 60 + int(clock[3:])


def plan_schema() -> dict[str, Any]:
    """Return the JSON Schema of a plan document. What it cannot say (fields against each other) is told by `plan_from`."""
    schema = PlanDocument.model_json_schema(by_alias=True)
    places = {
        "": schema,
        "baby.": schema["$defs"]["BabyDocument"],
        "activities[].": schema["$defs"]["ActivityDocument"],
        "activities[].target.": schema["$defs"]["MinutesDocument"],
        "goals[].": schema["$defs"]["GoalDocument"],
        "arm_hold.": schema["$defs"]["ArmHoldDocument"],
    }
    for prefix, place in places.items():
        for name, field in place["properties"].items():
            field["description"] = ALLOWED[prefix + name]
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}
