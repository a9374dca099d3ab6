"""Which of the fixed, reviewed texts answers a concern. The words stand in bot/phrases/*/advice.toml."""

from __future__ import annotations

from bot.concerns.finding import Concern

HARM = frozenset({"harm_to_self", "harm_to_baby"})
DISTRESS = frozenset({"carer_distress"})


def advice_key(concern: Concern) -> str:
    """Return the phrase ("advice.name") that answers a concern.

    A carer in danger or in distress gets words of their own, unless something of the baby's is more urgent: then the
    baby's advice comes first, and names the same line to call. The most urgent topic is the first, the baby's before
    the carer's.
    """
    topics = set(concern.topics)
    if concern.urgency == "act_now":
        return "advice.harm_now" if concern.topics[0] in HARM else "advice.act_now"
    if concern.urgency == "same_day":
        return "advice.carer_distress" if DISTRESS & topics else "advice.same_day"
    return "advice.tell_therapist"
