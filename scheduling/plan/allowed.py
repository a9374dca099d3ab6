"""What each field of a plan document may hold, in words."""

from __future__ import annotations

_CLOCK = "a time from 00:00 to 23:59, as HH:MM"
_MINUTES = "whole minutes from 0 to 1440"
_SIDES = "none, affected, unaffected, alternate, or a ratio such as {affected: 2, unaffected: 1}"
MOMENTS = "nappy, dressing, bath, play, carry or bedtime"
TARGET = "one of {minutes: n}, {share_of_awake: s} and {times: n}"
_TARGET_NUMBERS = {
    "minutes": "a number from 0 to 1440",
    "share_of_awake": "a number from 0 to 1",
    "times": "a whole number from 1 to 24",
}
_WEIGHT = "a number from 0 to 1000000"
_DATE = "a date, as YYYY-MM-DD"

ALLOWED = {
    "": "a plan with baby, time_zone, awake and activities",
    "baby": "nickname, born, gestation_weeks and affected_side",
    "baby.nickname": "a name of 1 to 100 characters",
    "baby.born": _DATE,
    "baby.gestation_weeks": "completed weeks, a whole number from 20 to 45",
    "baby.affected_side": "left, right or both",
    "time_zone": "an IANA zone name such as Europe/Dublin",
    "awake": "a list of [from, to] local times, in order, such as [[07:00, 09:00]]",
    "awake[]": "two local times, [from, to]",
    "awake[][]": "a time from 00:00 to 24:00, as HH:MM",
    "feeds": "a list of local times",
    "feeds[]": _CLOCK,
    "moments": f"lists of local times for {MOMENTS}",
    "quiet": "two different local times, [from, to]",
    "quiet[]": _CLOCK,
    "most_prompts": "a whole number from 0 to 24",
    "shortest_gap": _MINUTES,
    "activities": "a list of activities",
    "activities[]": "an activity with activity, session and, unless a goal holds it, target",
    "activities[].activity": "an id of 1 to 100 characters",
    "activities[].target": TARGET,
    **{f"activities[].target.{name}": allowed for name, allowed in _TARGET_NUMBERS.items()},
    "activities[].session": "[least, most], two whole numbers of minutes",
    "activities[].session[]": "whole minutes from 1 to 1440",
    "activities[].after_feed": _MINUTES,
    "activities[].before_feed": _MINUTES,
    "activities[].own_gap": "whole minutes from 0 to 10080",
    "activities[].moments": f"a list of {MOMENTS}",
    "activities[].moments[]": MOMENTS,
    "activities[].next": "the next step: then and when",
    "activities[].next.then": "an activity's id, or another dose: target, session or both",
    "activities[].next.then.target": "either {minutes: n} or {share_of_awake: s}",
    "activities[].next.then.target.minutes": "a number from 0 to 1440",
    "activities[].next.then.target.share_of_awake": "a number from 0 to 1",
    "activities[].next.then.session": "[least, most], two whole numbers of minutes",
    "activities[].next.then.session[]": "whole minutes from 1 to 1440",
    "activities[].next.when": "days, of and minutes, and taken where it must go well",
    "activities[].next.when.days": "whole days from 1 to 28",
    "activities[].next.when.of": "whole days from 1 to 28",
    "activities[].next.when.minutes": "a number from 0 to 1440",
    "activities[].next.when.taken": "well, or nothing at all",
    "activities[].easier": "an activity's id",
    "activities[].side": _SIDES,
    "activities[].side.affected": "a number from 0 to 1000",
    "activities[].side.unaffected": "a number from 0 to 1000",
    "activities[].weight": _WEIGHT,
    "activities[].from": _DATE,
    "activities[].until": _DATE,
    "activities[].when": "early, or nothing at all",
    "goals": "a list of goals",
    "goals[]": "a goal with goal, activities and target",
    "goals[].goal": "an id of 1 to 100 characters",
    "goals[].activities": "ids of one or more of this plan's activities",
    "goals[].activities[]": "the id of an activity of this plan",
    "goals[].target": TARGET,
    **{f"goals[].target.{name}": allowed for name, allowed in _TARGET_NUMBERS.items()},
    "goals[].weight": _WEIGHT,
    "arm_hold": "reason and from, and until where a date is known",
    "arm_hold.reason": "birth, fracture, surgery, injection or cast",
    "arm_hold.from": _DATE,
    "arm_hold.until": _DATE,
}
"""What each field may hold, by its path without the numbers."""
