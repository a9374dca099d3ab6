"""A plan in words, as a therapist reads it: a line an activity, what is new in it marked."""

from __future__ import annotations

import html
from collections.abc import Callable
from dataclasses import dataclass

from bot.features.formats import minutes_shown, short_day_shown, wall_clock_shown
from bot.features.plan.checks import Finding
from bot.phrases import Verbatim, Words
from scheduling.plan import (
    Activity,
    ArmHold,
    Dose,
    Goal,
    MinutesADay,
    Plan,
    Ratio,
    ShareOfAwake,
    Target,
    TimesADay,
)
from scheduling.plan.difference import (
    ActivityChanged,
    Added,
    BabyChanged,
    DayChanged,
    Removed,
    changes_between,
)
from scheduling.plan.edits import Note
from scheduling.plan.model import NextStep

NameOf = Callable[[str], str]


def activity_line(activity: Activity, name: str, words: Words) -> str:
    """Return one activity with its dose and rules (message HTML)."""
    parts = [_target(activity, words), _session(activity, words)]
    for field, minutes in (
        ("after_feed", activity.after_feed),
        ("before_feed", activity.before_feed),
        ("own_gap", activity.own_gap),
    ):
        if minutes:
            parts.append(words(f"plan.{field}", minutes=minutes))
    if activity.moments is not None:
        said = [words.plain(f"plan.moment_{moment}") for moment in activity.moments]
        parts.append(words("plan.at", moments=", ".join(said)))
    if activity.side != "none":
        parts.append(side_shown(activity, words))
    if activity.when is not None:
        parts.append(words("plan.early"))
    if activity.weight != 1:
        parts.append(words("plan.weight", weight=f"{activity.weight:g}"))
    parts += dates_shown(activity, words)
    return f"<b>{html.escape(name, quote=False)}</b>: {', '.join(parts)}"


def _target(activity: Activity, words: Words) -> str:
    return target_shown(activity.target, words) if activity.target else words("plan.in_goal")


def next_line(step: NextStep, words: Words, name_of: NameOf) -> str:
    """Return what comes next, and when (message HTML): "then Forearm carry, after 10 min or more on 5 of 7 days, taken well"."""
    line = words(
        "plan.next_line",
        then=dose_shown(step.then, words) if isinstance(step.then, Dose) else name_of(step.then),
        minutes=minutes_shown(step.minutes),
        days=step.days,
        of=step.of,
    )
    return words("plan.next_line_well", line=Verbatim(line)) if step.taken_well else line


def dose_shown(dose: Dose, words: Words) -> str:
    """Return a dose in words: "15 min a day, 5 to 10 min each time" (plain text)."""
    parts = []
    match dose.target:
        case MinutesADay(minutes):
            parts.append(words.plain("plan.next_minutes", minutes=minutes_shown(minutes)))
        case ShareOfAwake(share):
            parts.append(words.plain("plan.next_share", share=minutes_shown(100 * share)))
    if dose.session is not None:
        parts.append(words.plain("plan.next_session", least=dose.session[0], most=dose.session[1]))
    return ", ".join(parts)


def goal_line(goal: Goal, words: Words, name_of: NameOf) -> str:
    """Return one goal with its target and the activities that count toward it (message HTML)."""
    return words(
        "plan.goal",
        goal=goal.goal,
        target=Verbatim(target_shown(goal.target, words)),
        activities=", ".join(map(name_of, goal.activities)),
    )


def target_shown(target: Target, words: Words) -> str:
    match target:
        case MinutesADay(minutes):
            return words("plan.target", minutes=f"{minutes:g}")
        case ShareOfAwake(share):
            return words("plan.share", percent=f"{share * 100:g}")
        case TimesADay(1):
            return words("plan.once")
        case TimesADay(times):
            return words("plan.times", times=times)


def _session(activity: Activity, words: Words) -> str:
    least, most = activity.session
    if least == most:
        return words("plan.session_one", minutes=least)
    return words("plan.session", least=least, most=most)


def side_shown(activity: Activity, words: Words) -> str:
    side = activity.side
    if isinstance(side, Ratio):
        return words("plan.side_ratio", affected=f"{side.affected:g}", unaffected=f"{side.unaffected:g}")
    return words(f"plan.side_{side}")


def dates_shown(activity: Activity, words: Words) -> list[str]:
    shown = []
    if activity.from_ is not None:
        shown.append(words("plan.from", day=short_day_shown(activity.from_, words)))
    if activity.until is not None:
        shown.append(words("plan.until", day=short_day_shown(activity.until, words)))
    return shown


def plan_text(plan: Plan, before: Plan, words: Words, name_of: NameOf, *, only_new: bool = False) -> str:
    """Return a plan's day rules and activities; what differs from `before` is marked, what is gone is named.

    only_new: leave out what stayed as it was.
    """
    changed = _Changed.between(before, plan)
    rules = _day_line(plan, words)
    if changed.day & {"most_prompts", "shortest_gap", "quiet"}:
        lines = [f"✎ {rules}"]
    else:
        lines = [] if only_new else [rules]
    if plan.arm_hold is not None and not (only_new and plan.arm_hold == before.arm_hold):
        lines.append(("✎ " if "arm_hold" in changed.day else "") + arm_hold_line(plan.arm_hold, words))
    elif plan.arm_hold is None and before.arm_hold is not None:
        lines.append("✎ " + words("arm.line_none"))
    known = shape_lines(before, words)
    lines += [f"✎ {line}" for line in shape_lines(plan, words) if line not in known]
    for activity in plan.activities:
        name = activity.activity
        mark = "＋ " if name in changed.new else "✎ " if name in changed.other else ""
        if only_new and not mark:
            continue
        lines.append("• " + mark + activity_line(activity, name_of(name), words))
        if activity.next_step is not None:
            lines.append("  ↳ " + next_line(activity.next_step, words, name_of))
    if not plan.activities:
        lines.append(words("plan.no_activities"))
    for goal in plan.goals:
        if goal not in before.goals:
            lines.append("✎ " + goal_line(goal, words, name_of))
        elif not only_new:
            lines.append(goal_line(goal, words, name_of))
    if changed.gone:
        lines.append(words("plan.gone", activities=", ".join(map(name_of, changed.gone))))
    return "\n".join(lines)


def arm_hold_line(hold: ArmHold, words: Words) -> str:
    """Return a plan's hold of the arm as a therapist reads it: reason, first date, and when she is asked."""
    said = {"reason": words.plain(f"arm.reason_{hold.reason}"), "from": short_day_shown(hold.from_, words)}
    if hold.until is None:
        return words("arm.line", **said)
    return words("arm.line_until", until=short_day_shown(hold.until, words), **said)


@dataclass(frozen=True, slots=True)
class _Changed:
    """Ids of activities that are new, gone or otherwise changed, in order, and the fields of the rest of the plan."""

    new: tuple[str, ...]
    gone: tuple[str, ...]
    other: tuple[str, ...]
    day: frozenset[str]

    @classmethod
    def between(cls, before: Plan, plan: Plan) -> _Changed:
        changes = changes_between(before, plan)
        return cls(
            tuple(each.activity.activity for each in changes if isinstance(each, Added)),
            tuple(each.activity.activity for each in changes if isinstance(each, Removed)),
            tuple(dict.fromkeys(each.activity for each in changes if isinstance(each, ActivityChanged))),
            frozenset(each.field for each in changes if isinstance(each, DayChanged | BabyChanged)),
        )


def _day_line(plan: Plan, words: Words) -> str:
    line = words("plan.day_line", n=plan.most_prompts, gap=plan.shortest_gap)
    if plan.quiet is not None:
        start, end = (wall_clock_shown(at) for at in plan.quiet)
        line += " " + words("plan.quiet_line", start=start, end=end)
    return line


def shape_lines(plan: Plan, words: Words) -> list[str]:
    """Return the day's shape: awake, feeds, and the times of care moments, a line each."""
    awake = ", ".join(f"{wall_clock_shown(start)}-{wall_clock_shown(end)}" for start, end in plan.awake)
    feeds = ", ".join(map(wall_clock_shown, plan.feeds))
    lines = [words("plan.awake_line", times=awake or "-"), words("plan.feeds_line", times=feeds or "-")]
    for moment, times in plan.moments:
        if times:
            name = words.plain(f"plan.moment_{moment}").capitalize()
            lines.append(
                words("plan.moment_line", moment=name, times=", ".join(map(wall_clock_shown, times)))
            )
    return lines


def what_changed(plan: Plan, before: Plan, words: Words, name_of: NameOf) -> str:
    """Return in a few words what is new in a plan, for the list of versions (plain text)."""
    changed = _Changed.between(before, plan)
    parts = []
    for key, activities in (
        ("plan.new", changed.new),
        ("plan.gone", changed.gone),
        ("plan.other", changed.other),
    ):
        if activities:
            parts.append(words.plain(key, activities=", ".join(map(name_of, activities))))
    if changed.day:
        parts.append(words.plain("plan.day_changed"))
    return " ".join(parts)


def finding_shown(finding: Finding, words: Words, name_of: NameOf) -> str:
    """Return a finding in words, with the sign of its level."""
    said = words(
        f"plan_checks.{finding.kind}",
        activity=name_of(finding.activity) if finding.activity else "",
        number=finding.number if finding.number is not None else "",
        day=short_day_shown(finding.day, words) if finding.day else "",
        of=finding.of if finding.of is not None else "",
        help=words(f"plan_checks.help_{finding.help.kind}", number=finding.help.number or "")
        if finding.help
        else "",
    )
    return f"{'⛔' if finding.level == 'stop' else '❓'} {said}"


def note_shown(note: Note, words: Words, name_of: NameOf) -> str:
    return words(f"plan.note_{note.kind}", activity=name_of(note.activity))


def unread_shown(unread: tuple[str, ...], words: Words) -> str:
    """Return what of a typed line was not read, word for word."""
    said = " · ".join(f"<i>{html.escape(each, quote=False)}</i>" for each in unread)
    return words("plan.unread", text=Verbatim(said))
