"""What is decided from when a carer speaks of the day or of where the family is: loaded once, then only read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from bot.domain.dialogs import DialogState
from bot.domain.ids import OutboxId
from bot.domain.json_value import JsonValue
from bot.domain.people import Family
from bot.domain.roles import is_day_care
from bot.features.chat import pressed_message
from bot.features.content import Content
from bot.features.context import CarerContext
from bot.features.effects import EditLine, Effect, Reply
from bot.features.events import ButtonPressed
from scheduling.plan import Plan

FRESH = timedelta(hours=2)  # a question of several steps is taken as answered this long


@dataclass(frozen=True, slots=True, kw_only=True)
class DayState:
    """A family's day as one carer may change it.

    version: of the plan in force. clinic_zone: the name of the clinic's time zone. by_press: a button was pressed,
    under the message `pressed` where it is known.
    """

    now: datetime
    family: Family
    plan: Plan
    version: int
    day_care: bool
    clinic_zone: str
    dialog: DialogState
    by_press: bool = False
    pressed: OutboxId | None = None

    @property
    def today(self) -> date:
        return self.family.local(self.now).date()

    @property
    def draft(self) -> Mapping[str, JsonValue]:
        """The answers of the first talk so far."""
        return self.family.shape_draft or {}

    @property
    def being_asked(self) -> bool:
        """Whether the family's first day is still being asked for."""
        return self.family.shape_told_at is None and self.family.shape_draft is not None

    @property
    def first_talk(self) -> bool:
        """Whether what is told of the day now is told for the first time."""
        return self.family.shape_told_at is None and (not self.plan.awake or self.being_asked)

    @property
    def fresh(self) -> bool:
        """Whether the open question was asked lately."""
        asked_at = self.dialog.instant("asked_at")
        return asked_at is not None and self.now - asked_at <= FRESH

    @property
    def asked_now(self) -> dict[str, JsonValue]:
        return {"asked_at": self.now.isoformat()}

    def say(self, content: Content) -> Effect:
        """Say it in place of the message whose button was pressed, else as a new one."""
        return EditLine(self.pressed, content) if self.by_press else Reply(content=content)


def load(ctx: CarerContext) -> DayState:
    plan = ctx.plan()
    return DayState(
        now=ctx.now,
        family=ctx.family,
        plan=plan.plan,
        version=plan.version,
        day_care=is_day_care(ctx.carer),
        clinic_zone=ctx.context.clinic.zone.key,
        dialog=ctx.dialog(),
        by_press=isinstance(ctx.event, ButtonPressed),
        pressed=pressed_message(ctx),
    )
