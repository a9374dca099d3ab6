"""Urgent signs from somebody whose words may not be kept: not yet consented, left, never invited, a group's guest.

Fixed advice goes out at once all the same. Nothing is kept and nobody is told, and the words say so: the advice to
families says that their therapist knows, which here would be untrue.
"""

from __future__ import annotations

from bot.concerns.finding import Concern
from bot.concerns.reader import find_concerns
from bot.domain.ids import ChatId, FamilyId
from bot.domain.outgoing import OutgoingMessage
from bot.features.context import Context
from bot.phrases import words_for


def advise(
    context: Context, chat_id: ChatId, text: str, language: str, *, family_id: FamilyId | None = None
) -> bool:
    """Give the advice for an act_now or same_day sign, an unclear one included; return whether there was one.

    Without a family the baby's age is taken as a newborn's, to which the strictest rules apply.
    """
    words = words_for(language)
    found = _found(context, text, words.language, family_id)
    if found is None or found.urgency == "tell_therapist":
        return False
    numbers = context.numbers(context.uow.families.find(family_id) if family_id else None, language)
    advice = words(
        f"unkept.{found.urgency}", emergency_line=numbers.emergency_line, nurse_line=numbers.nurse_line
    )
    context.say(OutgoingMessage(chat_id=chat_id, kind="concern", text=advice))
    return True


def _found(context: Context, text: str, language: str, family_id: FamilyId | None) -> Concern | None:
    if not text.strip():
        return None
    family = context.uow.families.find(family_id) if family_id else None
    version = context.uow.plans.current(family.id) if family else None
    baby = version.plan.baby if version else None
    now = family.local(context.now) if family else context.now.astimezone(context.clinic.zone)
    findings = find_concerns(
        text,
        age_weeks=max(0, (now.date() - baby.born).days // 7) if baby else 0,
        affected_side=baby.affected_side if baby else "both",
    )
    return findings.concern or findings.unclear
