"""How many prompts a family gets a day: fewer while they go unanswered, more again when they are answered.

That falling or personal frequencies serve better than a fixed one: Head et al. 2013, Soc Sci Med 97. The steps
themselves are common practice, no source:

- a day on which fewer than half of the prompts sent were answered takes one prompt off the next day;
- a day on which at least three in four were answered gives one back;
- any other day, and a day without prompts, changes nothing;
- never below one a day, never above the plan's most_prompts, nor above what the carer asked for.

Any answer counts, "not today" too: the question is whether prompts reach anybody, not whether they are obeyed.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

FLOOR = 1


@dataclass(frozen=True, slots=True)
class PromptLoad:
    """budget: prompts that a day may have now. asked: the most that the carer wants a day, None where they never said.

    The therapist is shown both, beside the plan's most_prompts.
    """

    budget: int
    asked: int | None = None


def first_load(most_prompts: int) -> PromptLoad:
    """Return the load that a family starts with: what the plan allows."""
    return PromptLoad(most_prompts)


def next_budget(load: PromptLoad, most_prompts: int, *, sent: int, answered: int) -> PromptLoad:
    """Return the load of the next day. sent, answered: prompts of the day that is over.

    A day's budget moves by at most one, apart from a plan whose most_prompts fell below it.

    Raises:
        ValueError: more answered than sent, or a count below 0.
    """
    if not 0 <= answered <= sent:
        raise ValueError(f"{answered} of {sent} prompts answered: give 0 <= answered <= sent")
    step = 0
    if sent:
        step = -1 if 2 * answered < sent else 1 if 4 * answered >= 3 * sent else 0
    return replace(load, budget=_within(load.budget + step, load.asked, most_prompts))


def fewer(load: PromptLoad, most_prompts: int) -> PromptLoad:
    """Return the load after the carer asked for fewer: one less, and it stays the most until they ask for more."""
    budget = _within(load.budget - 1, load.asked, most_prompts)
    return PromptLoad(budget, budget)


def more(load: PromptLoad, most_prompts: int) -> PromptLoad:
    """Return the load after the carer asked for more: one more at once, as far as the plan allows."""
    budget = _within(load.budget + 1, None, most_prompts)
    asked = None if load.asked is None else max(load.asked, budget)
    return PromptLoad(budget, None if asked is not None and asked >= most_prompts else asked)


def wanted(number: int, most_prompts: int) -> PromptLoad:
    """Return the load after the carer said how many a day they want: the most from now on, as far as the plan allows."""
    budget = _within(number, None, most_prompts)
    return PromptLoad(budget, None if budget >= most_prompts else budget)


def _within(budget: int, asked: int | None, most_prompts: int) -> int:
    ceiling = most_prompts if asked is None else min(asked, most_prompts)
    return max(min(FLOOR, most_prompts), min(budget, ceiling))
