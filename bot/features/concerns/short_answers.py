"""Which short reviewed answers a therapist may send by a tap. Pure: what was raised in, names of texts out.

Decided: a text is offered only where it cannot be wrong. What needs help now gets nothing but the call; what must not show in the
home gets none, since the therapist is asked to phone and to write nothing. A text that tells to leave an activity out, or asks
for a video of it, needs an activity of the library: said of a medicine or of a feed it could do harm. The words stand in
bot/phrases/*/short.toml. Which answers are the commonest is common practice, no source.
"""

from __future__ import annotations

from typing import Literal, get_args

from bot.concerns.advice import OF_THE_CARER, advice_for, holds_arm, is_discreet
from bot.concerns.finding import Concern
from bot.domain.concerns import QuestionKind

ShortAnswer = Literal[
    "emergency", "calling_too", "calling_carer", "crisis_line", "calling_now", "nurse_line", "nurse_and_call",
    "calling_today", "leave_arm", "tell_more", "ask_doctor", "leave_out", "video", "film_again", "safe_sleep",
]  # fmt: skip
SHORT_ANSWERS: tuple[ShortAnswer, ...] = get_args(ShortAnswer)


def to_concern(found: Concern) -> tuple[ShortAnswer, ...]:
    """Return what may answer a concern, the plainest first; none where nothing may be written."""
    if is_discreet(found):
        return ()
    if any(text in OF_THE_CARER for text in advice_for(found)):
        return ("calling_carer", "crisis_line")
    if found.urgency == "act_now":
        return ("emergency", "calling_too")
    arm: tuple[ShortAnswer, ...] = ("leave_arm",) if holds_arm(found.topics) else ()
    if found.urgency == "same_day":
        return ("nurse_line", "calling_now", "nurse_and_call", *arm)
    return ("calling_today", "nurse_line", "tell_more", *arm)


def to_question(
    kind: QuestionKind, *, of_activity: bool, rests: bool, unsafe_sleep: bool
) -> tuple[ShortAnswer, ...]:
    """Return what may answer a question that belongs to no concern.

    of_activity: it is about an activity of the library. rests: that activity, or any where none is named, is held now.
    unsafe_sleep: it speaks of a sleep that is not safe.
    """
    if unsafe_sleep:
        return ("safe_sleep", "calling_now", "calling_today")
    if kind == "contact":
        return ("calling_now", "calling_today")
    out: tuple[ShortAnswer, ...] = ("leave_out",) if of_activity else ()
    if kind == "check":
        again: tuple[ShortAnswer, ...] = () if rests else ("film_again",)
        return ("calling_today", *again, *out)
    video: tuple[ShortAnswer, ...] = ("video",) if of_activity and not rests else ()
    return ("calling_today", "tell_more", *video, *out, "ask_doctor")
