"""The day's shape in words: what it is, what changed, and the question for each part of it."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import datetime

from bot.domain.outgoing import Button, Buttons, row
from bot.features import verbs
from bot.features.formats import minute_shown
from bot.features.schedule import rules
from bot.parsing.schedule import Part
from bot.parsing.stay import city_of
from bot.phrases import Words
from scheduling.plan import Plan
from scheduling.plan.difference import DayChanged, changes_between

WAKES = tuple(range(330, 481, 30))  # 5:30 to 8:00
BEDS = tuple(range(1080, 1231, 30))  # 18:00 to 20:30
DAY_ORDER: tuple[Part, ...] = ("wake", "naps", "feeds", "bath", "bed", "quiet")
BATHS = tuple(range(1020, 1171, 30))  # 17:00 to 19:30


def clocks(minutes: Sequence[int], words: Words) -> str:
    return ", ".join(minute_shown(minute, words) for minute in minutes)


def spans(pairs: Sequence[tuple[int, int]], words: Words) -> str:
    return ", ".join(f"{minute_shown(start, words)}–{minute_shown(end, words)}" for start, end in pairs)


def part_shown(plan: Plan, part: Part, words: Words) -> str:
    """Return one part of the day in one line (message text)."""
    none = words.plain("shape.none")
    match part:
        case "wake":
            return words("shape.line_wake", time=minute_shown(rules.wake_of(plan) or 0, words))
        case "bed":
            return words("shape.line_bed", time=minute_shown(rules.bed_of(plan) or 0, words))
        case "naps":
            return words("shape.line_naps", times=spans(rules.naps_of(plan), words) or none)
        case "feeds":
            return words("shape.line_feeds", times=clocks(plan.feeds, words) or none)
        case "bath":
            return words("shape.line_bath", times=clocks(rules.bath_of(plan), words) or none)
        case "quiet":
            quiet = spans([plan.quiet], words) if plan.quiet else none
            return words("shape.line_quiet", times=quiet)


def day_shown(plan: Plan, words: Words) -> str:
    """Return the whole day, a line a part. A plan without waking time has no day yet."""
    lines = [part_shown(plan, part, words) for part in DAY_ORDER]
    lines.append(words("shape.line_zone", city=city_of(plan.time_zone, words.language)))
    return "\n".join(lines)


PARTS_OF_FIELD: dict[str, tuple[Part, ...]] = {
    "awake": ("wake", "naps", "bed"),
    "feeds": ("feeds",),
    "moments": ("bath",),
    "quiet": ("quiet",),
}


def changed_parts(old: Plan, new: Plan, words: Words) -> tuple[Part, ...]:
    """Return the parts whose line reads otherwise, in the order of the day."""
    fields = [change.field for change in changes_between(old, new) if isinstance(change, DayChanged)]
    touched = {part for field in fields for part in PARTS_OF_FIELD.get(field, ())}
    return tuple(
        part
        for part in DAY_ORDER
        if part in touched and part_shown(old, part, words) != part_shown(new, part, words)
    )


def change_shown(old: Plan, new: Plan, words: Words, *, told: Collection[Part] = ()) -> str:
    """Return the new lines of what differs, and those of what was told, though it was so before."""
    shown = {*changed_parts(old, new, words), *told}
    return "\n".join(part_shown(new, part, words) for part in DAY_ORDER if part in shown)


def question(part: Part, nickname: str, words: Words) -> str:
    match part:
        case "wake":
            return words("shape.ask_wake", nickname=nickname)
        case "bed":
            return words("shape.ask_bed", nickname=nickname)
        case "naps":
            return words("shape.ask_naps", nickname=nickname)
        case "feeds":
            return words("shape.ask_feeds")
        case "bath":
            return words("shape.ask_bath")
        case "quiet":
            return words("shape.ask_quiet")


def choices(part: Part, words: Words) -> Buttons:
    """Return the likely answers to tap; anything else can be written."""
    unset = Button(words.plain("shape.unset_button"), verbs.DAY_PART.data(part, "none"))
    match part:
        case "wake":
            return _times("wake", WAKES, words)
        case "bed":
            return _times("bed", BEDS, words)
        case "naps":
            numbers = [
                Button(words.plain("shape.naps_button", n=n), verbs.DAY_PART.data("naps", n))
                for n in (1, 2, 3, 4)
            ]
            return (row(*numbers[:2]), row(*numbers[2:]), row(unset))
        case "feeds":
            every = [
                Button(words.plain("shape.every_button", n=n), verbs.DAY_PART.data("feeds", n * 60))
                for n in (2, 3, 4)
            ]
            return (row(*every), row(unset))
        case "bath":
            return (*_times("bath", BATHS, words), row(unset))
        case "quiet":
            return (row(Button(words.plain("shape.night_button"), verbs.DAY_PART.data("quiet", "night"))),)


def _times(part: Part, minutes: Sequence[int], words: Words) -> Buttons:
    buttons = [Button(minute_shown(minute, words), verbs.DAY_PART.data(part, minute)) for minute in minutes]
    return tuple(tuple(buttons[i : i + 3]) for i in range(0, len(buttons), 3))


def parts_menu(words: Words) -> Buttons:
    """Return a button a part of the day."""
    buttons = [Button(words.plain(f"shape.part_{part}"), verbs.DAY_ASK.data(part)) for part in DAY_ORDER]
    buttons += [
        Button(words.plain("shape.part_zone"), verbs.ZONE_ASK.data()),
        Button(words.plain("shape.right_button"), verbs.DAY_RIGHT.data()),
    ]
    return tuple(tuple(buttons[i : i + 2]) for i in range(0, len(buttons), 2))


def in_quiet(plan: Plan, local: datetime) -> bool:
    """Say whether a local moment lies in the family's quiet time."""
    if plan.quiet is None:
        return False
    start, end = plan.quiet
    minute = local.hour * 60 + local.minute
    return start <= minute < end if start < end else minute >= start or minute < end
