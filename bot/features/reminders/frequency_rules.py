"""What is decided when a carer asks for fewer or more reminders a day. Pure; the steps are scheduling/budget.py's."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from bot.domain.ids import OutboxId
from bot.domain.subject import Subject
from bot.features.content import Content
from bot.features.effects import Acknowledge, EditLine, Reply, RequestReplan
from bot.parsing.answers import Wish
from scheduling.budget import FLOOR, PromptLoad, fewer, more, wanted

ABOUT = Subject("load")  # what the answer to such a wish is about


@dataclass(frozen=True, slots=True)
class SetFrequency:
    """Let a day have another number of reminders, as a carer wished."""

    before: PromptLoad
    after: PromptLoad


@dataclass(frozen=True, slots=True)
class FrequencyShown(Content):
    """How many reminders a day may have. line: they changed, the plan allows no more, or there are no fewer."""

    line: Literal["now", "plan_allows", "is_least"]
    number: int


FrequencyEffects = tuple[SetFrequency | RequestReplan | Acknowledge | EditLine | Reply, ...]


def decide_wish(before: PromptLoad, most: int, wish: Wish) -> FrequencyEffects:
    """Return what "fewer", "more" or a number does. most: reminders that the plan allows a day."""
    changes, shown = _changed(before, most, wish)
    return (*changes, Reply(content=shown, about=ABOUT))


def decide_press(
    before: PromptLoad, most: int, wish: Wish, *, pressed: OutboxId | None, about: Subject | None
) -> FrequencyEffects:
    """Return what a tap does: the answer changes in place; other messages with these buttons stay as they are."""
    if about != ABOUT:
        return (Acknowledge(), *decide_wish(before, most, wish))
    changes, shown = _changed(before, most, wish)
    return (Acknowledge(), *changes, EditLine(pressed, shown))


def _changed(before: PromptLoad, most: int, wish: Wish) -> tuple[FrequencyEffects, FrequencyShown]:
    after = _wished(before, most, wish)
    changes = (SetFrequency(before, after), RequestReplan())
    if after.budget != before.budget or wish == after.budget:
        return changes, FrequencyShown("now", after.budget)
    if wish == "more" or (isinstance(wish, int) and wish > after.budget):
        return changes, FrequencyShown("plan_allows", after.budget)
    return changes, FrequencyShown("is_least", min(FLOOR, most))


def _wished(before: PromptLoad, most: int, wish: Wish) -> PromptLoad:
    if isinstance(wish, int):
        return wanted(wish, most)
    return (fewer if wish == "fewer" else more)(before, most)
