"""The end of a plan's hold of the arm: the therapist hears of it before, is asked on the day, and nothing starts by itself.

Decided: the date that she set is when she is asked, not when the arm's activities come back. Until she taps, or sends a plan
without the hold, the arm rests; she is asked again each week.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from bot.domain.outgoing import Button, row
from bot.domain.people import Family, Therapist
from bot.domain.subject import Subject
from bot.features import verbs
from bot.features.access.family_choice import say, seen_family
from bot.features.context import Context
from bot.features.events import Event
from bot.features.formats import short_day_shown
from bot.features.plan.versions import put_in_force
from bot.phrases import words_for
from scheduling.plan import ArmHold, Plan

TOLD_BEFORE = timedelta(days=3)
LONGER = timedelta(days=14)
BESIDE = "; arm hold"  # in the audit log
ASKED_FROM = 8  # o'clock where the family lives: no therapist is asked in the night


def ask_due(context: Context) -> None:
    """Tell therapists of holds that near their date, and ask about those that reached it."""
    for family_id in context.uow.plans.families_with_arm_hold():
        family = context.uow.families.find(family_id)
        version = context.uow.plans.current(family_id)
        if family is None or version is None or family.state == "discharged":
            continue
        hold = version.plan.arm_hold
        if hold is not None and family.local(context.now).hour >= ASKED_FROM:
            _ask(context, family, hold, placed=family.local(version.made_at).date())


def _ask(context: Context, family: Family, hold: ArmHold, *, placed: date) -> None:
    today = family.local(context.now).date()
    therapist = context.uow.therapists.find(family.therapist_id)
    if hold.until is None or therapist is None or today < hold.until - TOLD_BEFORE:
        return
    if today < hold.until and placed > hold.until - TOLD_BEFORE:
        return  # she has only just set that day
    words = words_for(therapist.language)
    weeks = (today - hold.until).days // 7
    stage = "soon" if today < hold.until else "ends" if weeks == 0 else "over"
    shown = {
        "nickname": family.nickname,
        "reason": words.plain(f"arm.reason_{hold.reason}"),
        "day": short_day_shown(hold.until, words),
    }
    go_on = Button(words.plain("arm.go_on_button"), verbs.ARM_GOES_ON.data(family.id, hold.until.isoformat()))
    longer = Button(
        words.plain("arm.longer_button"), verbs.ARM_RESTS_ON.data(family.id, hold.until.isoformat())
    )
    context.tell_therapist(
        therapist,
        words(f"arm.{stage}", **shown),
        buttons=(row(longer),) if stage == "soon" else (row(go_on, longer),),
        about=Subject.family(family.id),
        key=f"arm:{family.id}:{hold.from_}:{hold.until}:{stage}:{max(weeks, 0)}",
    )


def pressed_goes_on(context: Context, event: Event, therapist: Therapist, ref: str, until: str) -> None:
    """ "Yes, start again": the next version of the plan has no hold of the arm."""
    found = _held(context, event, therapist, ref, until)
    if found is None:
        return
    family, plan, _ = found
    put_in_force(context, therapist, family.id, replace(plan, arm_hold=None), beside=BESIDE)
    say(context, event, words_for(therapist.language)("arm.went_on", nickname=family.nickname))


def pressed_rests_on(context: Context, event: Event, therapist: Therapist, ref: str, until: str) -> None:
    """ "Hold 2 more weeks", from the day that was set or from today, whichever is later."""
    found = _held(context, event, therapist, ref, until)
    if found is None:
        return
    family, plan, hold = found
    later = max(date.fromisoformat(until), family.local(context.now).date()) + LONGER
    later_plan = replace(plan, arm_hold=replace(hold, until=later))
    put_in_force(context, therapist, family.id, later_plan, beside=BESIDE)
    words = words_for(therapist.language)
    say(
        context,
        event,
        words("arm.held_longer", nickname=family.nickname, day=short_day_shown(later, words)),
    )


def _held(
    context: Context, event: Event, therapist: Therapist, ref: str, until: str
) -> tuple[Family, Plan, ArmHold] | None:
    """Return what an old button is about only where that very hold still stands: another one is not ended by it."""
    family = seen_family(context, event, therapist, ref)
    if family is None:
        return None
    version = context.uow.plans.current(family.id)
    hold = version.plan.arm_hold if version is not None else None
    if version is None or hold is None or hold.until is None or hold.until.isoformat() != until:
        say(context, event, words_for(therapist.language)("arm.not_that_one", nickname=family.nickname))
        return None
    return family, version.plan, hold
