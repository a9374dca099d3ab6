"""The buttons under a counted line or a question about entries: load, decide, apply."""

from __future__ import annotations

from dataclasses import replace
from typing import get_args

from bot.domain.entries import LogEntry
from bot.domain.ids import EntryId
from bot.domain.subject import Subject
from bot.features.apply import apply
from bot.features.buttons import MOST_MINUTES
from bot.features.content import Content
from bot.features.context import CarerContext
from bot.features.effects import (
    Acknowledge,
    ChangeEntry,
    EditLine,
    Effects,
    EndDialog,
    RequestReplan,
    SetEntries,
    StartDialog,
)
from bot.features.entries import entry_rules, question_rules, rules
from bot.features.entries.contents import (
    AlreadyCounted,
    AlreadyUndone,
    ChangedNote,
    ChangeMinutes,
    ChangeWhich,
    CountedLine,
    CountedNote,
    HowManyTimes,
    NotCounted,
    OldButton,
    Question,
    TwinsWere,
    Undone,
    UndoneNote,
)
from bot.features.entries.loading import confidence_of, counted, state_about
from bot.features.entries.times_rules import known_times, set_for_day
from bot.features.state import CarerState
from bot.replies.care_moments import MOST_TIMES
from scheduling.sides import Side


def _own(ctx: CarerContext, entry_id: EntryId) -> tuple[CarerState, LogEntry] | None:
    """Return the entry that a button names, if it is this family's and stands; otherwise say that the button is old."""
    state, entry = state_about(ctx, entry_id)
    if entry is not None:
        return state, entry
    apply(ctx, (Acknowledge(OldButton()),))
    return None


# ---------------------------------------------------------------- under a counted line


def pressed_undo(ctx: CarerContext, entry_id: EntryId) -> None:
    """Take back all that the message logged; a reminder that is open again by it shows its own buttons again."""
    if (own := _own(ctx, entry_id)) is None:
        return
    state, entry = own
    standing = counted(state.together(entry))
    if not standing:
        apply(ctx, (Acknowledge(AlreadyUndone()),))
        return
    effects, reopened = entry_rules.take_back(state, standing)
    effects += (Acknowledge(UndoneNote()),)
    if state.pressed_about not in {Subject.of("reminder", reminder_id) for reminder_id in reopened}:
        first = (entry, *(each for each in standing if each.id != entry.id))
        effects += (EditLine(state.pressed, Undone(first)),)
    apply(ctx, effects)


def pressed_redo(ctx: CarerContext, entry_id: EntryId) -> None:
    if (own := _own(ctx, entry_id)) is None:
        return
    state, entry = own
    if entry.state == "counted":
        apply(ctx, (Acknowledge(AlreadyCounted()),))
        return
    settled, entries = entry_rules.settle(state, state.together(entry))
    apply(ctx, (*settled, *_shown_as_counted(ctx, state, entries, CountedNote())))


def _shown_as_counted(
    ctx: CarerContext, state: CarerState, entries: tuple[LogEntry, ...], note: Content
) -> Effects:
    """Turn the pressed message into the counted line, and ask what follows."""
    after = state.with_entries(entries)
    asked = rules.follow_up(after, entries, confidence_of(ctx, [each.activity for each in entries]))
    return (Acknowledge(note), EditLine(state.pressed, entry_rules.counted_line(after, entries)), *asked)


def pressed_change(ctx: CarerContext, entry_id: EntryId) -> None:
    """Offer other minutes (and the other side) under the same message; of several entries, ask which one first."""
    if (own := _own(ctx, entry_id)) is None:
        return
    state, entry = own
    standing = tuple(each for each in state.together(entry) if each.state in ("counted", "asked"))
    if not standing:
        apply(ctx, (Acknowledge(AlreadyUndone()),))
    elif len(standing) == 1 or known_times(standing):
        apply(ctx, _offer(state, standing[0]))
    else:
        apply(ctx, (Acknowledge(), EditLine(state.pressed, ChangeWhich(standing))))


def pressed_change_one(ctx: CarerContext, entry_id: EntryId) -> None:
    if (own := _own(ctx, entry_id)) is not None:
        apply(ctx, _offer(*own))


def _offer(state: CarerState, entry: LogEntry) -> Effects:
    data = {"session": entry.id, "line": state.pressed, "asked_at": state.now.isoformat()}
    return (
        Acknowledge(),
        StartDialog("minutes", data),
        EditLine(state.pressed, HowManyTimes(entry) if _by_times(state, entry) else ChangeMinutes(entry)),
    )


def _by_times(state: CarerState, entry: LogEntry) -> bool:
    known = entry.activity is not None and state.plan.times_of(entry.activity) is not None
    return known and entry.minutes is None


def pressed_times(ctx: CarerContext, entry_id: EntryId, times: int) -> None:
    """So many times on the entry's day in all."""
    if not 1 <= times <= MOST_TIMES or (own := _own(ctx, entry_id)) is None:
        return
    state, entry = own
    if entry.state == "undone" or entry.activity is None:
        apply(ctx, (Acknowledge(AlreadyUndone()),))
        return
    effects, content = set_for_day(state, entry, times)
    apply(ctx, (*effects, Acknowledge(ChangedNote()), EndDialog(), EditLine(state.pressed, content)))


def pressed_keep(ctx: CarerContext, entry_id: EntryId) -> None:
    """ "Leave it": the line as it was."""
    if (own := _own(ctx, entry_id)) is not None:
        state, entry = own
        apply(ctx, (Acknowledge(), EndDialog(), EditLine(state.pressed, _standing_line(state, entry))))


def _standing_line(state: CarerState, entry: LogEntry) -> CountedLine | Question:
    """Return what tells of all that an entry's message logged, as it stands."""
    entries = state.together(entry)
    standing = counted(entries)
    if standing:
        return entry_rules.counted_line(state, standing)
    return Question(tuple(each for each in entries if each.state == "asked") or tuple(entries))


def pressed_set(ctx: CarerContext, entry_id: EntryId, minutes: int) -> None:
    if 1 <= minutes <= MOST_MINUTES and (own := _own(ctx, entry_id)) is not None:
        _change(ctx, *own, minutes=minutes)


def pressed_side(ctx: CarerContext, entry_id: EntryId, said: str) -> None:
    side: Side | None = next((each for each in get_args(Side) if each == said), None)
    if side is not None and (own := _own(ctx, entry_id)) is not None:
        _change(ctx, *own, side=side)


def _change(
    ctx: CarerContext,
    state: CarerState,
    entry: LogEntry,
    *,
    minutes: float | None = None,
    side: Side | None = None,
) -> None:
    if entry.state == "undone":
        apply(ctx, (Acknowledge(AlreadyUndone()),))
        return
    changed = replace(entry, minutes=entry.minutes if minutes is None else minutes, side=side or entry.side)
    state = state.with_entries([changed])
    effects: Effects = (ChangeEntry(entry_id=entry.id, minutes=minutes, side=side),)
    if entry.state == "asked":
        apply(ctx, (*effects, *_next(ctx, state, changed)))
        return
    settled, _ = entry_rules.settle(state, [changed])
    shown = EditLine(state.pressed, _standing_line(state, changed))
    apply(ctx, (*effects, *settled, Acknowledge(ChangedNote()), EndDialog(), shown))


# ---------------------------------------------------------------- under a question


def pressed_count(ctx: CarerContext, entry_id: EntryId) -> None:
    """ "Yes, count it"."""
    if (own := _asked(ctx, entry_id)) is not None:
        apply(ctx, _next(ctx, *own))


def pressed_which(ctx: CarerContext, entry_id: EntryId, activity: str) -> None:
    """The carer named the activity of an entry that had none."""
    if activity not in ctx.context.library or (own := _asked(ctx, entry_id)) is None:
        return
    state, entry = own
    changed = replace(entry, activity=activity)
    change = ChangeEntry(entry_id=entry.id, activity=activity)
    apply(ctx, (change, *_next(ctx, state.with_entries([changed]), changed)))


def pressed_drop(ctx: CarerContext, entry_id: EntryId) -> None:
    if (own := _own(ctx, entry_id)) is None:
        return
    state, entry = own
    effects, content = question_rules.drop(state, entry)
    apply(ctx, (*effects, Acknowledge(), EditLine(state.pressed, content)))


def _asked(ctx: CarerContext, entry_id: EntryId) -> tuple[CarerState, LogEntry] | None:
    """Return the entry that a button names while it still waits; otherwise say what became of it."""
    own = _own(ctx, entry_id)
    if own is None or own[1].state == "asked":
        return own
    apply(ctx, (Acknowledge(AlreadyCounted() if own[1].state == "counted" else NotCounted()),))
    return None


def _next(ctx: CarerContext, state: CarerState, entry: LogEntry) -> Effects:
    """Show under the pressed button what is asked next, or what was counted."""
    effects, content = question_rules.go_on(state, entry)
    if isinstance(content, CountedLine):
        return (*effects, *_shown_as_counted(ctx, state, content.entries, CountedNote()))
    return (*effects, Acknowledge(), EditLine(state.pressed, content))


# ---------------------------------------------------------------- two carers, perhaps one session


def pressed_one(ctx: CarerContext, entry_id: EntryId) -> None:
    """They were one session: the later entry is taken back, as long as the other still counts."""
    if (own := _paired(ctx, entry_id)) is None:
        return
    state, entry, other = own
    effects: Effects = ()
    standing, others = _standing(state, entry), _standing(state, other)
    if standing is not None and others is not None:
        effects = (SetEntries((standing.id,), "undone"),)
        if standing.reminder_id is not None and others.reminder_id is None:
            # The reminder was answered all the same, by the entry that stays.
            effects += (ChangeEntry(entry_id=others.id, reminder_id=standing.reminder_id),)
        effects += (RequestReplan(),)
    apply(ctx, (*effects, Acknowledge(), EditLine(state.pressed, TwinsWere(one=True))))


def pressed_two(ctx: CarerContext, entry_id: EntryId) -> None:
    if (own := _paired(ctx, entry_id)) is not None:
        apply(ctx, (Acknowledge(), EditLine(own[0].pressed, TwinsWere(one=False))))


def _paired(ctx: CarerContext, entry_id: EntryId) -> tuple[CarerState, LogEntry, LogEntry | None] | None:
    """Return an entry and its twin, even where an edit has put another in its place."""
    entry = ctx.uow.entries.find(entry_id)
    if entry is None or entry.family_id != ctx.family.id:
        apply(ctx, (Acknowledge(OldButton()),))
        return None
    other = ctx.uow.entries.find(entry.twin_of) if entry.twin_of else None
    state, _ = state_about(ctx, entry.id)
    for each in (entry, other):
        if each is not None:
            state = state.with_entries(_of_its_message(ctx, each))
    return state, entry, other


def _of_its_message(ctx: CarerContext, entry: LogEntry) -> list[LogEntry]:
    if entry.message_id is None:
        found = ctx.uow.entries.find(entry.id)
        return [found] if found is not None else []
    return ctx.uow.entries.of_message(entry.message_id)


def _standing(state: CarerState, entry: LogEntry | None) -> LogEntry | None:
    """Return what counts of an entry now: itself, or what its edited message says of the same activity."""
    if entry is None:
        return None
    alike = [each for each in counted(state.together(entry)) if each.activity == entry.activity]
    return alike[0] if alike else None
