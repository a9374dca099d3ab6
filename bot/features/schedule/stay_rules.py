"""What is decided when a carer tells where the family is. Pure: what is known in, effects out.

Decided: a place and a last day are shown back with the clock there before anything moves; two places that one name may
mean are asked about; who is at home hears that the time is the same.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from bot.domain.json_value import JsonValue
from bot.features.effects import Effect, EndDialog, Reply, StartDialog
from bot.features.schedule.contents import (
    AskedThatDay,
    BackHome,
    DayLine,
    PlaceLine,
    SameTime,
    StayBegun,
    StayQuestion,
    StayShown,
    UntilQuestion,
    ZoneQuestion,
)
from bot.features.schedule.day_rules import decide_answers, decide_change
from bot.features.schedule.effects import AskThatDay, ComeHome, DayEffects, EndStay, GoAway
from bot.features.schedule.state import DayState
from bot.parsing.journeys import Journey
from bot.parsing.stay import Stay, unlike

MOST_OFFERED = 4


def decide_where(state: DayState) -> DayEffects:
    """/travel: where are you?"""
    if state.day_care:
        return (Reply(content=PlaceLine("family_only")),)
    if state.family.home_zone is not None:
        until = state.family.away_until or state.today
        return (Reply(content=StayShown(state.family.zone.key, until)),)
    return (StartDialog("travel", state.asked_now), Reply(content=PlaceLine("where")))


def decide_stay(state: DayState, stay: Stay) -> DayEffects:
    """ "We are in Madrid till Sunday", "we moved to Leeds"."""
    return decide_place(state, stay.zones, stay.until, for_good=stay.for_good)


def decide_journey(state: DayState, journey: Journey) -> DayEffects:
    """ "We're off to Lisbon from Thursday"; where the place is not known or not said, it is asked for."""
    if journey.zones:
        return decide_place(state, journey.zones, journey.until, for_good=False, since=journey.since)
    told = _dates(journey.since, journey.until)
    line = PlaceLine("unknown_place" if journey.place else "where")
    return (StartDialog("travel", {**told, **state.asked_now}), Reply(content=line))


def _dates(since: date | None, until: date | None) -> dict[str, JsonValue]:
    """Return the days of a journey as a dialog keeps them until its place is known."""
    days = {"told_since": since, "told_until": until}
    return {name: day.isoformat() for name, day in days.items() if day is not None}


def decide_place(
    state: DayState,
    zones: tuple[str, ...],
    until: date | None,
    *,
    for_good: bool,
    since: date | None = None,
) -> DayEffects:
    """Decide on a place that is known. since: its first local day, where that is still to come."""
    found = unlike(zones, state.now)
    if for_good:
        return (_which(state, found, for_good=True),)
    if state.family.zone.key in zones and state.family.home_zone is None:
        return (Reply(content=SameTime(state.family.zone.key)),)
    if len(found) > 1:
        return (_which(state, found, for_good=False),)
    if until is None:
        return decide_until(state, found[0], since)
    if since is not None and since > state.today:
        return decide_later(state, found[0], since, until)
    asked = {"offered": found[0], "until": until.isoformat(), **state.asked_now}
    return (StartDialog("travel", asked), state.say(StayQuestion(found[0], until)))


def _which(state: DayState, zones: tuple[str, ...], *, for_good: bool) -> Effect:
    many = len(zones) > MOST_OFFERED
    return state.say(PlaceLine("many_zones") if many else ZoneQuestion(zones, for_good))


def decide_until(state: DayState, zone: str, since: date | None = None) -> DayEffects:
    asked = {"zone": zone, **_dates(since, None), **state.asked_now}
    return (StartDialog("travel", asked), state.say(UntilQuestion(zone)))


def decide_later(state: DayState, zone: str, since: date, until: date) -> DayEffects:
    """A journey to come changes nothing now; its first morning brings the question."""
    return (EndDialog(), AskThatDay(zone, since, until), state.say(AskedThatDay(zone, since, until)))


def decide_stays(state: DayState) -> DayEffects:
    """Leave the family where it is."""
    return (EndDialog(), state.say(DayLine("not_changed")))


def decide_go(state: DayState, zone: str, until: date) -> DayEffects:
    """Use another time zone up to and with the local day `until`."""
    home = state.family.home_zone or state.plan.time_zone
    if zone == home:
        return (EndDialog(), *decide_home(state))
    return (EndDialog(), GoAway(zone, home, until), state.say(StayBegun(zone, until, home)))


def decide_home(state: DayState) -> DayEffects:
    home = state.family.home_zone
    if home is None:
        return (state.say(SameTime(state.family.zone.key)),)
    return (ComeHome(), state.say(BackHome(home)))


def decide_home_zone(state: DayState, zone: str) -> DayEffects:
    """Live by a zone for good: an answer of the first talk about the day, or a change of it."""
    if state.first_talk:
        return (EndDialog(), *decide_answers(state, {"zone": zone}))
    return (EndDialog(), EndStay(), *decide_change(state, replace(state.plan, time_zone=zone)))
