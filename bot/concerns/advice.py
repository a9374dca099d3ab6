"""Which of the fixed, reviewed texts answer a concern. The words stand in bot/phrases/*/advice.toml."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import get_args

from bot.concerns.finding import LEARNED, URGENCIES, Concern, Urgency
from bot.concerns.loading import shipped_rules
from bot.concerns.schema import Advice

OF_THE_CARER = frozenset({"carer_self_harm", "carer_end", "carer_distress"})
EITHER: frozenset[Advice] = frozenset({"either_now", "either_today"})
"""Of what no rule names, which may be of the home as well."""
DISCREET = frozenset({"harm_by_others", "unsafe_home", "left_alone", "neglect_food"})
"""What must not show where others of the home can read it."""

ORDER: tuple[Advice, ...] = (
    "carer_self_harm",
    "carer_end",
    "harm_by_others",
    "unsafe_home",
    "either_now",
    "act_now",
    "found_face_down",
    "left_alone",
    "neglect_food",
    "carer_distress",
    "either_today",
    "arm_treated",
    "unwell",
    "same_day",
    "tell_therapist",
)
"""The gravest first: danger to life by a person before an illness, since the text for an illness sends them to the baby."""

_NAMED_BY_NO_RULE: Mapping[Urgency, Advice] = {
    "act_now": "either_now",
    "same_day": "either_today",
    "tell_therapist": "tell_therapist",
}
"""Texts for what the learned reader alone holds for trouble: whether of the baby, the carer or the home is not known."""

_SAID_BY: Mapping[str, frozenset[str]] = {
    "carer_distress": frozenset({"carer_self_harm", "carer_end", "act_now", "either_now", "either_today"}),
    "unwell": frozenset({"act_now", "found_face_down", "either_now"}),
    "same_day": frozenset(
        {"act_now", "found_face_down", "carer_distress", "unwell", "either_now", "either_today"}
    ),
    "tell_therapist": frozenset(get_args(Advice)) - {"tell_therapist"},
}
"""Texts that are left out beside others, which name the same lines and more."""


_FOUND_COVERED = "found_face_down"
_TAKEN_FOR_A_DEED = frozenset({"dark_told", "harm_to_baby_described"})
"""Signs that take a cover at the baby's face for somebody's deed, whoever or whatever brought it there."""
_DEED = "muffled_baby"


def advice_for(concern: Concern) -> tuple[Advice, ...]:
    """Return the texts that answer a concern, the gravest first; at least one.

    A medical sign takes the text of its urgency. The first topic is the most urgent, so its urgency is the concern's; a
    later one takes the urgency that its file names. What no rule names gets a text that fits a baby, a carer and a home.
    """
    named = {**shipped_rules().advice, LEARNED: _NAMED_BY_NO_RULE[concern.urgency]}
    texts: set[Advice] = set()
    for place, topic in enumerate(_without_a_deed(concern.topics)):
        text = named.get(topic, concern.urgency)
        texts.add(concern.urgency if text in URGENCIES and place == 0 else text)
    kept = {text for text in texts if not _SAID_BY.get(text, frozenset()) & texts}
    return tuple(text for text in ORDER if text in kept)


def _without_a_deed(topics: Sequence[str]) -> tuple[str, ...]:
    """Leave out what takes a baby who was found covered for one who was harmed: nobody is sent out of the room then."""
    if _DEED in topics or _FOUND_COVERED not in topics:
        return tuple(topics)
    return tuple(topic for topic in topics if topic not in _TAKEN_FOR_A_DEED)


def is_discreet(concern: Concern) -> bool:
    """Say whether nothing of a concern may show where others of the home can read it."""
    discreet = shipped_rules().discreet
    return any(topic in discreet for topic in concern.topics)


def holds_arm(topics: Sequence[str]) -> bool:
    """Say whether the arm must not be moved or loaded in activities until the therapist lets them go on."""
    return not shipped_rules().holds_arm.isdisjoint(topics)


def offers_pause(concern: Concern) -> bool:
    """Say whether the baby is ill, so that a pause of the reminders is offered beside the advice for today."""
    return concern.urgency == "same_day" and not shipped_rules().illness.isdisjoint(concern.topics)
