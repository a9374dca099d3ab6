"""Computes one family's digest from facts. Pure.

How the unknown is counted. On a date with word, what nobody told of counts as not done. On a date without word
nothing is known, so its minutes enter no sum and its waking time no share. Dates before the plan, in a pause or
still to come are neither.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from bot.digest.activity_figures import ActivityFigures, DayMinutes, DayState, Pace
from bot.digest.clinic import age_weeks, checks_between, corrected_weeks
from bot.digest.facts import (
    ConfidenceFact,
    DayFacts,
    FamilyFacts,
    ObservationFact,
    PreviousFacts,
    PromptFact,
    SessionFact,
)
from bot.digest.figures import (
    CarerShare,
    Confidence,
    FamilyDigest,
    ObservationCount,
    PromptCounts,
)
from bot.digest.goals import goals_of
from bot.digest.prone import prone_of

CHECKS_AHEAD = timedelta(days=14)
"""How long before it is due the digest names a check, so that there is time to book it."""


def digest_of(facts: FamilyFacts) -> FamilyDigest:
    """Return the family's figures for the period of the facts."""
    states, previous = _states(facts), facts.previous
    known = frozenset(day for day, state in states.items() if state == "word")
    previous_known = previous_days_with_word(previous) if previous else frozenset()
    return FamilyDigest(
        family=facts.family,
        nickname=facts.nickname,
        time_zone=facts.time_zone,
        affected_side=facts.affected_side,
        week=_iso_week(facts.from_, facts.to) if facts.from_at is None else None,
        from_=facts.from_,
        to=facts.to,
        from_at=facts.from_at,
        to_at=facts.to_at,
        age_weeks=age_weeks(facts.born, facts.to),
        corrected_weeks=corrected_weeks(facts.born, facts.gestation_weeks, facts.to),
        activities=_activities(facts, states, previous, previous_known),
        prone=prone_of(facts, known, previous, previous_known),
        prompts=_prompt_counts(facts.prompts),
        skips=tuple(Counter(skip.reason for skip in facts.skips).most_common()),
        observations=_observations(facts, known, previous_known),
        seen=tuple(sorted(facts.observations, key=lambda o: o.at)),
        confidence=_confidence(facts.confidence),
        concerns=tuple(sorted(facts.concerns, key=lambda c: c.at)),
        questions=tuple(sorted(facts.questions, key=lambda q: q.at)),
        unread=tuple(sorted(facts.unread, key=lambda u: u.at)),
        carers=_carers(facts),
        days=tuple(states.items()),
        plan_changes=tuple(sorted(facts.plan_changes, key=lambda p: p.at)),
        notes=tuple(sorted(facts.notes, key=lambda n: n.at)),
        sent=facts.prompts,
        grades=facts.grades,
        checks=checks_between(facts.born, facts.from_, facts.to + CHECKS_AHEAD),
        visits=facts.visits,
        born=facts.born,
        pace=_pace(facts.sessions, known),
        previous_pace=_pace(previous.sessions, previous_known) if previous else None,
        goals=goals_of(facts, known),
    )


def previous_days_with_word(previous: PreviousFacts) -> frozenset[date]:
    """Return the dates of the period before on which anything was told."""
    told = {s.date for s in previous.sessions} | {o.date for o in previous.observations}
    return (previous.days_with_word & {day.date for day in previous.days}) | told


def _days_with_word(facts: FamilyFacts) -> frozenset[date]:
    zone = ZoneInfo(facts.time_zone)
    inside = {day.date for day in facts.days}

    def dates(times: Iterable[datetime]) -> set[date]:
        return {at.astimezone(zone).date() for at in times}

    said = (
        {o.date for o in facts.observations}
        | {skip.date for skip in facts.skips}
        | dates(c.at for c in facts.concerns)
        | dates(q.at for q in facts.questions)
        | dates(u.at for u in facts.unread)
        | facts.days_with_word
    )
    return frozenset((said & inside) | {s.date for s in facts.sessions})


def _states(facts: FamilyFacts) -> dict[date, DayState]:
    """Return the state of each date, in order; a session told late adds its own date in front."""
    today = facts.as_of.astimezone(ZoneInfo(facts.time_zone)).date()
    known = _days_with_word(facts)

    def state(day: DayFacts) -> DayState:
        if day.date in known:
            return "word"
        # A day that is still running is not silent yet, unless the digest was made to close with it.
        if day.date > today or (day.date == today and day.date != facts.to):
            return "to_come"
        if day.paused:
            return "paused"
        return "silent" if day.awake_minutes is not None or day.due else "no_plan"

    states = {day.date: state(day) for day in facts.days}
    for day in known:
        states[day] = "word"
    return dict(sorted(states.items()))


def _iso_week(first: date, last: date) -> str | None:
    year, week, weekday = first.isocalendar()
    whole = weekday == 1 and (last - first).days == 6
    return f"{year:04d}-W{week:02d}" if whole else None


def _activities(
    facts: FamilyFacts,
    states: dict[date, DayState],
    previous: PreviousFacts | None,
    previous_known: frozenset[date],
) -> tuple[ActivityFigures, ...]:
    planned = list(dict.fromkeys(due.activity for day in facts.days for due in day.due))
    unplanned = sorted({s.activity for s in facts.sessions} - set(planned))
    return tuple(
        _activity(activity, facts, states, previous, previous_known) for activity in planned + unplanned
    )


def _activity(
    activity: str,
    facts: FamilyFacts,
    states: dict[date, DayState],
    previous: PreviousFacts | None,
    previous_known: frozenset[date],
) -> ActivityFigures:
    entries = tuple(
        sorted((s for s in facts.sessions if s.activity == activity), key=lambda s: (s.date, s.at))
    )
    targets, times = _targets(activity, facts.days)
    shares = [due.left_share for day in facts.days for due in day.due if due.activity == activity]
    known = _known_days(activity, facts.days, frozenset(d for d, s in states.items() if s == "word"), entries)
    # Where every session lacks its length, the minutes are as unknown as on a silent day.
    told = bool(known) and not (entries and all(s.minutes is None for s in entries))

    def on(side: str | None) -> float | None:
        return sum((s.minutes or 0.0 for s in entries if s.side == side), 0.0) if told else None

    return ActivityFigures(
        activity=activity,
        target_minutes=sum(targets.values()) if targets else None,
        known_target=_sum_over(targets, known),
        minutes=sum((s.minutes or 0.0 for s in entries), 0.0) if told else None,
        left=on("left"),
        right=on("right"),
        unsided=on(None),
        sessions=len(entries) if known else None,
        days_with_any=len({s.date for s in entries}) if known else None,
        without_minutes=sum(s.minutes is None for s in entries),
        pace=_pace(entries, known) if told else None,
        previous_pace=_previous_pace(activity, previous, previous_known) if previous else None,
        left_share=next((share for share in reversed(shares) if share is not None), None),
        days=_days(states, entries, targets, times),
        entries=entries,
        target_times=sum(times.values()) if times else None,
        known_times=_sum_over(times, known),
    )


def _targets(activity: str, days: Sequence[DayFacts]) -> tuple[dict[date, float], dict[date, float]]:
    """Return what the plan asked of each date: in minutes, and in sessions."""
    asked = [(day, due) for day in days for due in day.due if due.activity == activity]
    minutes = {day.date: due.minutes * day.part for day, due in asked if due.minutes is not None}
    times = {day.date: due.times * day.part for day, due in asked if due.times is not None}
    return minutes, times


def _sum_over(targets: dict[date, float], known: frozenset[date]) -> float | None:
    return sum(amount for day, amount in targets.items() if day in known) if known & set(targets) else None


def _known_days(
    activity: str, days: Sequence[DayFacts], known: frozenset[date], entries: Sequence[SessionFact]
) -> frozenset[date]:
    """Return the days with word on which the plan asked for the activity or it was done;
    all days with word where no plan of the period asks for it."""
    asked = {day.date for day in days if any(due.activity == activity for due in day.due)}
    return (known & asked if asked else known) | {s.date for s in entries}


def _days(
    states: dict[date, DayState],
    entries: Sequence[SessionFact],
    targets: dict[date, float],
    times: dict[date, float],
) -> tuple[DayMinutes, ...]:
    return tuple(
        _day_minutes(day, state, entries, targets.get(day), times.get(day)) for day, state in states.items()
    )


def _day_minutes(
    day: date,
    state: DayState,
    entries: Sequence[SessionFact],
    target: float | None,
    target_times: float | None,
) -> DayMinutes:
    def on(side: str | None) -> float | None:
        if state != "word":
            return None
        return sum((s.minutes or 0.0 for s in entries if s.date == day and s.side == side), 0.0)

    return DayMinutes(day, state, on("left"), on("right"), on(None), target, target_times)


def _pace(sessions: Sequence[SessionFact], known: frozenset[date]) -> Pace | None:
    if not known:
        return None
    return Pace(sum((s.minutes or 0.0 for s in sessions), 0.0), len(known))


def _previous_pace(activity: str, previous: PreviousFacts, known: frozenset[date]) -> Pace | None:
    entries = tuple(s for s in previous.sessions if s.activity == activity)
    days = _known_days(activity, previous.days, known, entries)
    planned = any(due.activity == activity for day in previous.days for due in day.due)
    # An activity that was neither asked for nor done then has nothing to be compared with.
    return _pace(entries, days) if planned or entries else None


def _prompt_counts(prompts: Sequence[PromptFact]) -> PromptCounts:
    states = Counter(prompt.state for prompt in prompts)
    return PromptCounts(
        sent=len(prompts),
        answered=states["answered"],
        later=states["later"],
        skipped=states["skipped"],
        expired=states["expired"],
    )


def _observations(
    facts: FamilyFacts, known: frozenset[date], previous_known: frozenset[date]
) -> tuple[ObservationCount, ...]:
    def counts(seen: Sequence[ObservationFact]) -> Counter[tuple[str, str]]:
        return Counter((o.kind, o.side or "") for o in seen)

    now = counts(facts.observations)
    before = counts(facts.previous.observations) if facts.previous else Counter()
    kinds = {(o.kind, o.side or ""): o for o in (facts.previous.observations if facts.previous else ())}
    kinds |= {(o.kind, o.side or ""): o for o in facts.observations}
    return tuple(
        ObservationCount(
            kind=kinds[key].kind,
            side=kinds[key].side,
            count=now[key] if known else None,
            previous=before[key] if previous_known else None,
        )
        for key in sorted(kinds, key=lambda key: (-now[key], -before[key], key))
    )


def _confidence(ratings: Sequence[ConfidenceFact]) -> tuple[Confidence, ...]:
    by_activity: dict[str, list[ConfidenceFact]] = {}
    for rating in sorted(ratings, key=lambda r: r.at):
        by_activity.setdefault(rating.activity, []).append(rating)
    return tuple(
        Confidence(activity, rated[-1].value, rated[-2].value if len(rated) > 1 else None)
        for activity, rated in sorted(by_activity.items())
    )


def _carers(facts: FamilyFacts) -> tuple[CarerShare, ...]:
    names = dict.fromkeys((*facts.carers, *sorted({s.carer for s in facts.sessions})))
    shares = []
    for name in names:
        entries = [s for s in facts.sessions if s.carer == name]
        told = [s.minutes for s in entries if s.minutes is not None]
        shares.append(CarerShare(name, len(entries), sum(told) if told else None))
    return tuple(sorted(shares, key=lambda share: (-(share.minutes or 0.0), -share.entries, share.carer)))
