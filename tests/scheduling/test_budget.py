from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduling.budget import PromptLoad, fewer, first_load, more, next_budget


@st.composite
def days(draw: st.DrawFn) -> list[tuple[int, int]]:
    counts = draw(st.lists(st.integers(0, 12), min_size=1, max_size=30))
    return [(sent, draw(st.integers(0, sent))) for sent in counts]


def test_a_day_without_answers_takes_one_prompt_off() -> None:
    assert next_budget(first_load(6), 6, sent=6, answered=0) == PromptLoad(5)


def test_a_day_that_is_half_answered_changes_nothing() -> None:
    assert next_budget(PromptLoad(4), 6, sent=4, answered=2) == PromptLoad(4)


def test_a_day_that_is_answered_gives_one_back() -> None:
    assert next_budget(PromptLoad(4), 6, sent=4, answered=3) == PromptLoad(5)


def test_a_day_without_prompts_changes_nothing() -> None:
    assert next_budget(PromptLoad(4), 6, sent=0, answered=0) == PromptLoad(4)


def test_unanswered_weeks_come_down_to_one_prompt_a_day_and_no_lower() -> None:
    load = first_load(6)
    for _ in range(20):
        load = next_budget(load, 6, sent=load.budget, answered=0)

    assert load == PromptLoad(1)


def test_answered_days_bring_the_full_budget_back() -> None:
    load = PromptLoad(1)
    for _ in range(5):
        load = next_budget(load, 6, sent=load.budget, answered=load.budget)

    assert load == PromptLoad(6)


def test_a_carer_who_asks_for_fewer_keeps_fewer_however_much_they_answer() -> None:
    load = fewer(PromptLoad(6), 6)
    for _ in range(5):
        load = next_budget(load, 6, sent=load.budget, answered=load.budget)

    assert load == PromptLoad(5, asked=5)


def test_a_carer_who_asks_for_more_gets_more_at_once() -> None:
    assert more(PromptLoad(3, asked=3), 6) == PromptLoad(4, asked=4)


def test_asking_for_more_never_passes_the_plan() -> None:
    assert more(PromptLoad(6), 6) == PromptLoad(6)


def test_a_plan_that_allows_fewer_than_before_holds_at_once() -> None:
    assert next_budget(PromptLoad(6), 3, sent=4, answered=4).budget == 3


def test_a_plan_without_prompts_stays_without() -> None:
    assert next_budget(PromptLoad(0), 0, sent=0, answered=0).budget == 0


def test_more_answers_than_prompts_are_refused() -> None:
    with pytest.raises(ValueError, match="answered"):
        next_budget(PromptLoad(3), 6, sent=2, answered=3)


@given(most=st.integers(1, 24), history=days())
def test_the_budget_stays_between_one_and_the_plan_and_moves_by_one_step(
    most: int, history: list[tuple[int, int]]
) -> None:
    load = first_load(most)
    for sent, answered in history:
        following = next_budget(load, most, sent=sent, answered=answered)
        assert 1 <= following.budget <= most
        assert abs(following.budget - load.budget) <= 1
        load = following


@given(most=st.integers(1, 24), budget=st.integers(1, 24), sent=st.integers(1, 12), data=st.data())
def test_one_more_answer_never_lowers_the_budget(
    most: int, budget: int, sent: int, data: st.DataObject
) -> None:
    answered = data.draw(st.integers(0, sent - 1))
    load = PromptLoad(min(budget, most))

    fewer_answers = next_budget(load, most, sent=sent, answered=answered)
    more_answers = next_budget(load, most, sent=sent, answered=answered + 1)

    assert more_answers.budget >= fewer_answers.budget
