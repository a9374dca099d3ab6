"""Where the told feeding times are no longer true, from feeds that a carer tells of unasked.

That a feed is over is never heard, so none is asked away; and a reminder's answer tells nothing of a care moment's time.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from statistics import median_low

from scheduling.learned.heard import Sighting
from scheduling.learned.suggestion import NEAR, Evidence, Suggestion
from scheduling.plan import Plan

NEXT_FEED = 90
"""Minutes from every told feed beyond which a feed is one of its own; ours, no source."""

STEP = 5


def feed_changes(plan: Plan, today: int, recent: Sequence[Sighting]) -> Iterator[Suggestion]:
    """Yield each change of one feed that the told feeds of the last days speak for, in order of the clock."""
    told = [each for each in recent if each.what == "told_feed"]
    for feed in plan.feeds:
        own = [each for each in told if _nearest(plan, each.minute) == feed]
        found = _moved(plan, feed, [each for each in own if abs(each.minute - feed) < NEXT_FEED])
        if found:
            yield found
    apart = [
        each for each in told if not plan.feeds or abs(each.minute - _nearest(plan, each.minute)) >= NEXT_FEED
    ]
    if apart:
        yield from _new(plan, apart)


def _nearest(plan: Plan, minute: int) -> int:
    return min(plan.feeds, key=lambda feed: (abs(feed - minute), feed), default=-1)


def _moved(plan: Plan, feed: int, own: Sequence[Sighting]) -> Suggestion | None:
    if not own:
        return None
    to = round(median_low(sorted(each.minute for each in own)) / STEP) * STEP
    if abs(to - feed) < NEAR or to in plan.feeds or not 0 <= to < 1440:
        return None
    nearer: dict[int, int] = {}
    for each in own:
        nearer[each.day] = nearer.get(each.day, 0) + (
            1 if abs(each.minute - to) < abs(each.minute - feed) else -1
        )
    evidence = Evidence(sum(value > 0 for value in nearer.values()), len(nearer))
    return _suggestion(plan, feed, to, evidence) if evidence.enough else None


def _new(plan: Plan, apart: Sequence[Sighting]) -> Iterator[Suggestion]:
    to = round(median_low(sorted(each.minute for each in apart)) / STEP) * STEP
    near = {each.day for each in apart if abs(each.minute - to) <= 30}
    evidence = Evidence(len(near), len({each.day for each in apart}))
    if evidence.enough and to < 1440:
        yield _suggestion(plan, None, to, evidence)


def _suggestion(plan: Plan, feed: int | None, to: int, evidence: Evidence) -> Suggestion:
    feeds = sorted([*(each for each in plan.feeds if each != feed), to])
    return Suggestion(
        "feeds",
        "feed_new" if feed is None else "feed_moved",
        tuple((each,) for each in plan.feeds),
        tuple((each,) for each in feeds),
        evidence,
        "feed",
        to,
        None if feed is None else (feed,),
        (to,),
    )
