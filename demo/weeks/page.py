"""The one page of numbers, as lines for a terminal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from bot.commands.answer import table
from bot.rehearsal.figures import Lived, share_of_target
from bot.rehearsal.fit import Fit, Help
from scheduling.reasons import Why


def page(nickname: str, weeks: int, lived: Sequence[Lived], fit: Fit, names: dict[str, str]) -> Iterator[str]:
    """Return the lines. names: of activities, by id."""
    yield f"{nickname}'s plan, lived for {weeks} {'week' if weeks == 1 else 'weeks'} by {len(lived)} invented families"
    yield ""
    headings = ("family", "reminders a day", "answered", "ill-timed", "of target", "load")
    yield from table(headings, [_row(each) for each in lived])
    yield ""
    yield "Ill-timed: the baby was asleep or at a feed. Of target: minutes told, each activity at most whole."
    yield ""
    yield from _minutes(lived)
    yield ""
    yield from _fit(fit, names)
    for each in lived:
        if each.digest:
            yield ""
            yield f"{each.title}: what the last digest would say"
            yield from (f"  {line}" for line in each.digest if line)


def _row(lived: Lived) -> tuple[object, ...]:
    load = f"{lived.load[0]} → {lived.load[-1]} ({len(lived.load_changes)} changes)" if lived.load else "-"
    return (
        lived.title,
        lived.reminders_a_day,
        _percent(lived.answered_share),
        _percent(lived.ill_timed_share),
        _percent(share_of_target(lived.activities)),
        load,
    )


def _percent(share: float | None) -> str:
    return "-" if share is None else f"{share:.0%}"


def _minutes(lived: Sequence[Lived]) -> Iterator[str]:
    rows = [
        (
            each.title,
            row.name,
            round(row.minutes),
            "-" if row.target is None else f"{row.target:.0f}",
            round(row.left),
            round(row.right),
            round(row.unsided),
        )
        for each in lived
        for row in each.activities
    ]
    yield from table(("family", "activity", "minutes", "target", "left", "right", "no side"), rows)


def _fit(fit: Fit, names: dict[str, str]) -> Iterator[str]:
    if not fit.short:
        yield "What does not fit: nothing. Followed to the letter, every target is reached."
        return
    yield "What does not fit, even when every reminder is followed to the letter:"
    for short in fit.short:
        reason = f": {_why(short.why)}" if short.why else ""
        unit = "min" if short.unit == "minutes" else "times"
        name = names.get(short.name, short.name)
        yield f"  {name}: {short.short:g} of {short.target:g} {unit} a day are missing{reason}"
    if not fit.helps:
        yield "What would help: no one change of how often or how long; fewer activities, or lower targets."
        return
    yield f"What would help (one change each; {fit.short_a_day:g} min a day are missing now):"
    for each in fit.helps:
        yield f"  {_change(each, names)}: then {each.short:g} min a day are missing"


def _change(each: Help, names: dict[str, str]) -> str:
    match each.change:
        case "most_prompts":
            return f"at most {each.value} reminders a day"
        case "shortest_gap":
            return f"reminders {each.value} minutes apart at the least"
        case _:
            return f"{names[each.activity or '']} for up to {each.value} minutes at once"


def _why(why: Why) -> str:
    match why.kind:
        case "no_moment":
            return "none of its moments is open to it"
        case "no_room":
            return "no time is long enough and clear of feeds and quiet hours"
        case "most_prompts":
            return f"all {why.prompts} reminders of the day are used"
        case "own_room":
            return "its own rules leave it no more time"
        case _:
            return "the gap between reminders and the other activities leave no more"
