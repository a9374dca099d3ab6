"""The invented week: people who do not say the same twice, each in their own voice."""

from __future__ import annotations

import math
from collections import Counter

from demo.scenario import read_scenario

SCENARIO = read_scenario()
MOST_A_DAY = {
    carer["chat_id"]: family["plan"]["most_prompts"]
    for family in SCENARIO.caseload["families"]
    for carer in family["carers"]
    if carer["id"] in family.get("prompts_to", [carer["id"]])
}


def test_nobody_says_the_same_twice_in_the_week() -> None:
    """A reminder asks for one answer, so as many answers as there can be reminders are looked at."""
    days = (SCENARIO.ends - SCENARIO.starts).days
    said = Counter(moment.say for moment in SCENARIO.moments)
    for chat_id, most in MOST_A_DAY.items():
        answers = SCENARIO.habits[chat_id].answers
        turns = [answers[turn % len(answers)] for turn in range(days * most)]
        said.update(each.say for each in turns if each.say is not None)
        said.update(each.then_edit for each in turns if each.then_edit is not None)

    assert [text for text, times in said.items() if times > 1] == []
    assert len(said) > 60


def test_each_wording_of_an_answer_has_its_turn_before_one_comes_again() -> None:
    for habits in SCENARIO.habits.values():
        for answers in (habits.answers, habits.alerts, habits.questions):
            said = [each.say for each in answers if each.say is not None]
            assert max(Counter(said).values(), default=1) == 1


def test_what_somebody_changes_their_words_to_differs_from_them() -> None:
    edited = [
        each for habits in SCENARIO.habits.values() for each in habits.answers if each.then_edit is not None
    ]

    assert len(edited) >= math.ceil(7 * 6 / 9)
    assert all(each.then_edit != each.say for each in edited)
