"""Templates to start a family's plan from: one reviewed file each, both languages.

A template gives activities, the most prompts of a day and their gap. The baby, the zone and the day's shape stay the family's.
Nothing of a template reaches a family before their therapist has looked at the draft and sent it. None holds the gentle arm
moves: their dose and their first date are the therapist's alone.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from functools import cache
from importlib.resources import files
from typing import Annotated, Any, Literal

import yaml
from pydantic import BaseModel, ConfigDict, Field

from bot.domain.names import folded
from scheduling.plan import Activity, Plan, plan_from
from scheduling.plan.edits import fitted


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class TemplateText(_Strict):
    name: Annotated[str, Field(min_length=1, max_length=24)]
    about: Annotated[str, Field(min_length=1, max_length=160)]


class TemplateReview(_Strict):
    status: Literal["needs review by a licensed therapist", "reviewed by a licensed therapist"]
    changed: date


class TemplateFile(_Strict):
    """order: where it stands in the list. activities: as in a plan document, without dates."""

    order: int
    en: TemplateText
    es: TemplateText
    review: TemplateReview
    sources: tuple[str, ...] = Field(min_length=1)
    most_prompts: Annotated[int, Field(ge=1, le=8)]
    shortest_gap: Annotated[int, Field(ge=20, le=240)]
    activities: list[dict[str, Any]] = Field(min_length=1)


@dataclass(frozen=True, slots=True)
class Template:
    id: str
    file: TemplateFile
    activities: tuple[Activity, ...]

    def text(self, language: str) -> TemplateText:
        return self.file.es if language.startswith("es") else self.file.en

    def started(self, plan: Plan) -> Plan:
        """Return a family's plan with this template's activities in place of its own."""
        return replace(
            plan,
            most_prompts=self.file.most_prompts,
            shortest_gap=self.file.shortest_gap,
            activities=tuple(fitted(each, plan) for each in self.activities),
        )


# What the schema of a plan wants beside the activities; a template has a side rule only by "affected".
_SOME_FAMILY = {
    "baby": {"nickname": "-", "born": "2026-01-01", "gestation_weeks": 40, "affected_side": "left"},
    "time_zone": "UTC",
    "awake": [],
}


@cache
def templates() -> Mapping[str, Template]:
    """Return the templates by id, in their order."""
    found = []
    for entry in files(__name__).iterdir():
        if entry.name.endswith(".yaml"):
            file = TemplateFile.model_validate(yaml.safe_load(entry.read_text(encoding="utf-8")))
            plan = plan_from(_SOME_FAMILY | {"activities": file.activities})
            found.append(Template(entry.name.removesuffix(".yaml"), file, plan.activities))
    return {each.id: each for each in sorted(found, key=lambda each: each.file.order)}


def template_named(text: str) -> Template | None:
    """Return the template that words name, whole and in either language, whatever their case and accents."""
    sought = folded(text)
    return next(
        (
            each
            for each in templates().values()
            if sought in (folded(each.file.en.name), folded(each.file.es.name))
        ),
        None,
    )


@cache
def starting_values() -> Mapping[str, Activity]:
    """Return what an activity starts from when it is added without minutes: as the first template that has it says."""
    values: dict[str, Activity] = {}
    for template in templates().values():
        for activity in template.activities:
            values.setdefault(activity.activity, activity)
    return values
