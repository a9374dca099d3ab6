"""Denial against the published trigger list and worked sentences of NegEx.

Source: Chapman W. W. et al., "A simple algorithm for identifying negated findings and diseases in discharge summaries",
J Biomed Inform 2001;34:301-310. Triggers and worked sentences as published with the authors' own implementation: the
chapmanbe/negex repository, negex.python/negex_triggers.txt and NegExAlgorithmDescription.md (looked up 2026-11-25).
Findings of discharge letters are replaced by signs that a carer names.

Held differently here, on purpose (a missed sign costs more than a false one):
 - "checked for", "evaluate for", "test for", "to exclude": a search for a sign is no denial of it;
 - "resolved", "declined", "declines": words of letters, not of carers;
 - a scope ends where words stop carrying it, not at the end of the sentence.
"""

from __future__ import annotations

import pytest

from tests.concerns.cases import find, urgency

BEFORE = """
absence of|cannot see|denied|denies|denying|fails to reveal|free of|negative for|never had|no|no abnormal|no complaints of|
no evidence of|no new|no new evidence of|no other evidence of|no evidence to suggest|no findings of|no findings to indicate|no sign of|
no significant|no signs of|no suggestion of|no suspicious|not|not appear to have|not associated with|not complain of|not demonstrate|
not exhibit|not feel any|not had|not have|not know of|not known to have|not reveal|not see|rather than|
unremarkable for|with no|without|without any evidence of|without evidence of|without indication of|without sign of|
rules out|ruled out|ruled out for|never developed
""".replace("\n", "").split("|")
AFTER = ["is ruled out", "was ruled out", "has been ruled out", "free"]
SEEMING = ["not certain if", "not certain whether", "not only", "not necessarily just"]
POSSIBLE = ["rule out", "should be ruled out for", "must be ruled out for"]
ENDING = [
    "but",
    "however",
    "nevertheless",
    "yet",
    "though",
    "although",
    "still",
    "aside from",
    "except",
    "apart from",
]


@pytest.mark.parametrize("trigger", BEFORE)
def test_a_trigger_before_a_finding_denies_it(trigger: str) -> None:
    assert urgency(f"she {trigger} fever", age_weeks=9) is None


@pytest.mark.parametrize("trigger", AFTER)
def test_a_trigger_after_a_finding_denies_it(trigger: str) -> None:
    assert urgency(f"fever {trigger}", age_weeks=9) is None


def test_an_unlikely_finding_is_asked_about() -> None:
    found = find("a seizure is unlikely")
    assert found.concern is None
    assert found.unclear is not None


@pytest.mark.parametrize("trigger", SEEMING)
def test_what_only_looks_like_a_trigger_denies_nothing(trigger: str) -> None:
    assert urgency(f"{trigger} seizure", age_weeks=9) == "act_now"


@pytest.mark.parametrize("trigger", POSSIBLE)
def test_a_finding_yet_to_be_ruled_out_is_not_denied(trigger: str) -> None:
    assert urgency(f"{trigger} meningitis") == "act_now"


@pytest.mark.parametrize("ending", ENDING)
def test_a_terminating_word_ends_the_denial(ending: str) -> None:
    assert urgency(f"no fever {ending} blue lips") == "act_now"


@pytest.mark.parametrize(
    ("sentence", "expected"),
    [
        ("The baby denies fever and has no shortness of breath", None),  # both are within a scope
        (
            "The baby denies fever but has experienced some shortness of breath",
            "act_now",
        ),  # "but" ends the scope
        ("She is fever free", None),  # a trigger after the finding
        ("No increase in fever", "act_now"),  # a pseudo-negation
    ],
)
def test_the_worked_sentences(sentence: str, expected: str | None) -> None:
    assert urgency(sentence, age_weeks=9) == expected
