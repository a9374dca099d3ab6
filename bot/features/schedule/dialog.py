"""The day's shape: asked in a few taps when a family begins, changed in chat whenever life changes.

A change is a new version of the plan, made by the carer, so that the therapist sees it among the plan's changes. Each
answer is kept at once (families.shape_draft): who leaves in the middle comes back to the next open question.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from bot.domain.dialogs import DialogState
from bot.domain.ids import MessageId
from bot.domain.json_value import JsonValue
from bot.domain.outgoing import Button, Buttons, row
from bot.domain.roles import is_day_care
from bot.domain.subject import Subject
from bot.features import verbs
from bot.features.chat import say
from bot.features.context import CarerContext
from bot.features.events import ButtonPressed
from bot.features.schedule import rules, save, views
from bot.features.schedule.rules import NoSuchDay, draft_of, with_shape, words_of_draft
from bot.parsing.answers import says_no, says_yes
from bot.parsing.schedule import PARTS, Part, ShapeWords, read_shape, says_habit
from bot.parsing.stay import city_of
from bot.phrases import Verbatim
from bot.replies.reading import Reading
from scheduling.plan import Plan

ASKED: tuple[Part, ...] = ("wake", "bed", "naps", "feeds", "bath")


def begin(ctx: CarerContext) -> None:
    """After joining: ask for the day, or show the one that is known."""
    plan = (ctx.plan()).plan
    if is_day_care(ctx.carer) or ctx.family.shape_told_at is not None:
        show(ctx)
    elif plan.awake and ctx.family.shape_draft is None:
        text = ctx.words("shape.right_so", nickname=ctx.family.nickname, day=_day(ctx, plan))
        ctx.answer(text, buttons=_right_or_change(ctx))
    else:
        ask_next(ctx)


def show(ctx: CarerContext) -> None:
    """Show the day as it is known, with the way to change it for those who may; or go on asking for it."""
    plan = (ctx.plan()).plan
    if not plan.awake or (ctx.family.shape_draft is not None and not is_day_care(ctx.carer)):
        if is_day_care(ctx.carer):
            ctx.answer(ctx.words("shape.not_known"))
        else:
            ask_next(ctx)
        return
    buttons = () if is_day_care(ctx.carer) else (row(_button(ctx, "change_button", verbs.DAY_CHANGE.data())),)
    text = ctx.words("shape.this_day", nickname=ctx.family.nickname, day=_day(ctx, plan))
    if not is_day_care(ctx.carer):
        text += "\n" + ctx.words("shape.or_write")
    say(ctx, text, buttons)


def _day(ctx: CarerContext, plan: Plan) -> Verbatim:
    return Verbatim(views.day_shown(plan, ctx.words))


def _button(ctx: CarerContext, name: str, data: str) -> Button:
    return Button(ctx.words.plain(f"shape.{name}"), data)


def _right_or_change(ctx: CarerContext) -> Buttons:
    return (
        row(
            _button(ctx, "right_button", verbs.DAY_RIGHT.data()),
            _button(ctx, "change_button", verbs.DAY_CHANGE.data()),
        ),
    )


# ---------------------------------------------------------------- asking


def ask_next(ctx: CarerContext) -> None:
    """Ask for the first part that is not known yet; all known: show the day and ask whether it is right."""
    draft = ctx.family.shape_draft or {}
    if "zone" not in draft:
        ask_home_zone(ctx)
        return
    known = words_of_draft({name: value for name, value in draft.items() if name != "zone"}).parts
    missing = [part for part in ASKED if part not in known]
    if missing:
        ask(ctx, missing[0], place=(ASKED.index(missing[0]) + 1, len(ASKED)))
        return
    ctx.uow.chats.end_dialog(ctx.chat_id)
    plan = _drafted(ctx, draft)
    text = ctx.words("shape.right_so", nickname=ctx.family.nickname, day=_day(ctx, plan))
    say(ctx, text, _right_or_change(ctx))


def ask(ctx: CarerContext, part: Part, *, place: tuple[int, int] | None = None) -> None:
    ctx.uow.chats.start_dialog(ctx.chat_id, "shape", {"part": part, **_asked_now(ctx)})
    text = views.question(part, ctx.family.nickname, ctx.words)
    if place:
        text = ctx.words("shape.place", n=place[0], of=place[1]) + " " + text
    say(ctx, text, views.choices(part, ctx.words))


def ask_home_zone(ctx: CarerContext) -> None:
    """Ask where the family lives: in the clinic's time zone, or where?"""
    plan = (ctx.plan()).plan
    offered = dict.fromkeys((plan.time_zone, ctx.context.clinic.zone.key))
    ctx.uow.chats.start_dialog(ctx.chat_id, "zone", _asked_now(ctx))
    buttons = [
        row(Button(city_of(zone, ctx.words.language)[:24], verbs.ZONE_HOME.data(zone))) for zone in offered
    ]
    say(ctx, ctx.words("shape.ask_zone"), (*buttons, row(_button(ctx, "elsewhere", verbs.ZONE_ASK.data()))))


def _asked_now(ctx: CarerContext) -> dict[str, JsonValue]:
    return {"asked_at": ctx.now.isoformat()}


def _drafted(ctx: CarerContext, draft: Mapping[str, JsonValue]) -> Plan:
    """Return the plan with the answers so far. Raises NoSuchDay where they do not fit together."""
    plan = replace((ctx.plan()).plan, time_zone=str(draft.get("zone", ctx.family.zone.key)))
    return with_shape(plan, words_of_draft({name: value for name, value in draft.items() if name != "zone"}))


def being_asked(ctx: CarerContext) -> bool:
    """Say whether the family's first day is still being asked for."""
    return ctx.family.shape_told_at is None and ctx.family.shape_draft is not None


def is_first_talk(ctx: CarerContext, plan: Plan) -> bool:
    """Say whether what is told of the day now is told for the first time."""
    return ctx.family.shape_told_at is None and (not plan.awake or being_asked(ctx))


def keep_zone(ctx: CarerContext, zone: str) -> None:
    """Keep the home zone as an answer of the first talk about the day."""
    _keep(ctx, {"zone": zone})


def _keep(ctx: CarerContext, answers: Mapping[str, JsonValue]) -> None:
    draft = rules.with_answers(ctx.family.shape_draft or {}, answers)
    ctx.uow.families.keep_schedule_answers(ctx.family.id, draft)
    ask_next(ctx.renewed())


# ---------------------------------------------------------------- answers


def take(ctx: CarerContext, words: ShapeWords) -> None:
    """Take the answer to a part that was asked for."""
    ctx.uow.chats.end_dialog(ctx.chat_id)
    plan = (ctx.plan()).plan
    try:
        if not is_first_talk(ctx, plan):
            save.change(ctx, with_shape(plan, words))
            return
        draft = rules.with_answers(ctx.family.shape_draft or {}, draft_of(words))
        if "wake" in draft and "bed" in draft:
            _drafted(ctx, draft)
        _keep(ctx, draft_of(words))
    except NoSuchDay as error:
        part = words.parts[0] if words.parts else "wake"
        ctx.uow.chats.start_dialog(ctx.chat_id, "shape", {"part": part, **_asked_now(ctx)})
        say(ctx, ctx.words(f"shape.wrong_{error.reason}"), views.choices(part, ctx.words))


# ---------------------------------------------------------------- written words


def answered(ctx: CarerContext, state: DialogState, reading: Reading) -> bool:
    """Take a typed answer to a question about the day."""
    if not fresh(ctx, state):
        return False
    if state.step == "shape_words":
        if says_yes(ctx.text):
            take_what_was_said(ctx)
            return True
        if says_no(ctx.text):
            leave(ctx)
            return True
        return False
    part, asked_at = state.text("part"), state.instant("asked_at")
    if part not in PARTS or asked_at is None:
        return False
    if reading.entries and ctx.uow.reminders.open_in_family(ctx.family.id, since=asked_at) is not None:
        return False  # a number after a newer reminder is minutes
    words = read_shape(ctx.text, asked=part, names=(ctx.family.nickname,))
    if words is None or not words.parts:
        return False
    take(ctx, words)
    return True


def fresh(ctx: CarerContext, state: DialogState) -> bool:
    """Say whether the question of a step was asked lately."""
    asked_at = state.instant("asked_at")
    return asked_at is not None and ctx.now - asked_at <= views.FRESH


def told_in_words(ctx: CarerContext, message_id: MessageId, reading: Reading) -> bool:
    """ "Bath is at 6 now": ask before the day changes, since a plan hangs on it."""
    if is_day_care(ctx.carer):
        return False
    words = read_shape(ctx.text, names=(ctx.family.nickname,))
    if words is None:
        return False
    if words.parts == ("bath",) and reading.entries and not says_habit(ctx.text):
        return False  # "bath at 6" may as well tell what was done
    plan = (ctx.plan()).plan
    if not words.parts:
        ask(ctx, words.unclear[0])
        return True
    if is_first_talk(ctx, plan):
        take(ctx, words)
        return True
    try:
        new = with_shape(plan, words)
    except NoSuchDay as error:
        ctx.answer(ctx.words(f"shape.wrong_{error.reason}"))
        return True
    if new == plan:
        ctx.answer(ctx.words("shape.as_before"))
        return True
    ctx.uow.chats.start_dialog(ctx.chat_id, "shape_words", {"said": draft_of(words), **_asked_now(ctx)})
    ctx.answer(
        views.change_asked(ctx.family.nickname, plan, new, words.unclear, ctx.words),
        about=Subject.of("message", message_id),
        buttons=(
            row(
                _button(ctx, "yes_button", verbs.DAY_APPLY.data()),
                _button(ctx, "no_button", verbs.DAY_NO.data()),
            ),
        ),
    )
    return True


# ---------------------------------------------------------------- buttons


def may_press(ctx: CarerContext) -> bool:
    """Take the press; return whether this carer may change the family's day."""
    ctx.note()
    return not is_day_care(ctx.carer)


def leave(ctx: CarerContext) -> None:
    """Leave the day as it is."""
    ctx.uow.chats.end_dialog(ctx.chat_id)
    say(ctx, ctx.words("shape.not_changed"))


def confirmed(ctx: CarerContext) -> None:
    if being_asked(ctx):
        save.change(ctx, _drafted(ctx, ctx.family.shape_draft or {}))
        return
    ctx.uow.chats.end_dialog(ctx.chat_id)
    ctx.uow.families.confirm_schedule(ctx.family.id, ctx.now)
    plan = (ctx.plan()).plan
    say(ctx, ctx.words("shape.confirmed", day=_day(ctx, plan)))


def take_what_was_said(ctx: CarerContext) -> None:
    """Change the day as the message said that is asked about; by a tap it is the one that the question stands for."""
    if not isinstance(ctx.event, ButtonPressed):
        said = ctx.uow.chats.get(ctx.chat_id).dialog.data.get("said")
        if isinstance(said, Mapping):
            take(ctx, words_of_draft(said))
        return
    asked = ctx.pressed()
    about = asked.about if asked else None
    kept = ctx.uow.messages.find(MessageId(about.number)) if about and about.kind == "message" else None
    words = read_shape(kept.text, names=(ctx.family.nickname,)) if kept else None
    if words is not None:
        take(ctx, words)


def back_to(ctx: CarerContext, version: int) -> None:
    """Put the day of an earlier version back; the rest of the plan stays as it is now."""
    versions = ctx.uow.plans.versions(ctx.family.id)
    earlier = next((each.plan for each in versions if each.version == version), None)
    if earlier is None:
        return
    plan = (ctx.plan()).plan
    save.change(
        ctx,
        replace(
            plan,
            awake=earlier.awake,
            feeds=earlier.feeds,
            moments=earlier.moments,
            quiet=earlier.quiet,
            time_zone=earlier.time_zone,
        ),
    )
