"""Whatever may be said has a view, and whatever may be decided is carried out by somebody."""

from __future__ import annotations

import importlib
import pkgutil
import sys
from collections.abc import Iterator

import bot.features
from bot.features.apply import carry_out
from bot.features.concerns.rules import ConcernEffect
from bot.features.content import Content
from bot.features.effects import Effect
from bot.features.learned.rules import LearnedEffect
from bot.features.refreshers.rules import RefresherEffects
from bot.features.reminders.frequency_rules import FrequencyEffects
from bot.features.schedule.effects import DayEffects
from bot.features.show import show


def kinds(union: object) -> Iterator[type]:
    """The types of a union, or of the tuples of one."""
    for each in getattr(union, "__args__", ()):
        if isinstance(each, type):
            yield each
        else:
            yield from kinds(each)


def test_every_content_has_a_view() -> None:
    for module in pkgutil.walk_packages(bot.features.__path__, "bot.features."):
        importlib.import_module(module.name)
    # A dataclass with slots is made twice; the one that stands in its module counts.
    made = Content.__subclasses__()
    contents = [each for each in made if getattr(sys.modules[each.__module__], each.__name__) is each]

    assert len(contents) > 60
    assert [each.__name__ for each in contents if show.dispatch(each) is show.dispatch(object)] == []


def test_every_effect_is_carried_out() -> None:
    unions = (Effect, ConcernEffect, LearnedEffect, RefresherEffects, FrequencyEffects, DayEffects)
    effects = {each for union in unions for each in kinds(union) if each is not type(...)}

    assert len(effects) > 40
    assert [each.__name__ for each in effects if carry_out.dispatch(each) is carry_out.dispatch(object)] == []
