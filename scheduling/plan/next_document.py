"""The next step of an activity as the plan document writes it: {"then": …, "when": {"days", "of", "minutes", "taken"}}."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Discriminator, Field, Tag

from scheduling.plan.model import Dose, MinutesADay, NextStep, ShareOfAwake


class _Model(BaseModel):
    model_config = ConfigDict(strict=True, extra="forbid")


Dates = Annotated[int, Field(ge=1, le=28)]
Amount = Annotated[float, Field(ge=0, le=1440, allow_inf_nan=False)]
SessionMinutes = Annotated[int, Field(ge=1, le=1440)]


class WhenDocument(_Model):
    days: Dates
    of: Dates
    minutes: Amount
    taken: Literal["well"] | None = None


class DoseTargetDocument(_Model):
    """One of the two."""

    minutes: Amount | None = None
    share_of_awake: Annotated[float, Field(ge=0, le=1, allow_inf_nan=False)] | None = None


class DoseDocument(_Model):
    target: DoseTargetDocument | None = None
    session: Annotated[list[SessionMinutes], Field(min_length=2, max_length=2)] | None = None


def _then_kind(value: object) -> str:
    return "<dose>" if isinstance(value, dict) else "<activity>"


class NextDocument(_Model):
    then: Annotated[
        Annotated[str, Field(min_length=1, max_length=100, pattern=r"\S"), Tag("<activity>")]
        | Annotated[DoseDocument, Tag("<dose>")],
        Discriminator(_then_kind),
    ]
    when: WhenDocument


def next_step_of(model: NextDocument) -> NextStep:
    """Return the step that a document holds."""
    then, when = model.then, model.when
    step = then if isinstance(then, str) else _dose_of(then)
    return NextStep(step, when.days, when.of, when.minutes, when.taken == "well")


def _dose_of(model: DoseDocument) -> Dose:
    target: MinutesADay | ShareOfAwake | None = None
    if model.target is not None and model.target.minutes is not None:
        target = MinutesADay(model.target.minutes)
    elif model.target is not None and model.target.share_of_awake is not None:
        target = ShareOfAwake(model.target.share_of_awake)
    return Dose(target, (model.session[0], model.session[1]) if model.session else None)


def next_document(step: NextStep) -> dict[str, Any]:
    """Return the step as JSON values; the inverse of `next_step_of`."""
    when: dict[str, Any] = {"days": step.days, "of": step.of, "minutes": step.minutes}
    if step.taken_well:
        when["taken"] = "well"
    return {"then": _dose_document(step.then) if isinstance(step.then, Dose) else step.then, "when": when}


def _dose_document(dose: Dose) -> dict[str, Any]:
    document: dict[str, Any] = {}
    match dose.target:
        case MinutesADay(minutes):
            document["target"] = {"minutes": minutes}
        case ShareOfAwake(share):
            document["target"] = {"share_of_awake": share}
    if dose.session is not None:
        document["session"] = list(dose.session)
    return document
