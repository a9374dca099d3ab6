"""Which family needs the therapist first, and why. Pure.

Who waits for a therapist decides the order first: a family with an act_now concern that nobody has looked at comes before
all others, then one with a same_day concern, then one with any other concern not seen or a question not answered, whatever
else is told. A concern that was seen, answered or found to be none ends this. Each reason gives 0 to 10 points, by the
rule at its function.
Within a tier the weightiest reason decides, then the sum: a family that fell silent gives no other reason, and must
not sink under many small ones. After that by nickname, then id.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from bot.concerns.finding import URGENCIES
from bot.digest.activity_figures import ActivityFigures
from bot.digest.figures import FamilyDigest

ReasonKind = Literal[
    "act_now",
    "same_day",
    "tell_therapist",
    "questions",
    "silence",
    "falling",
    "side",
    "confidence",
    "distress",
]

MOST_POINTS = 10.0
LOW_CONFIDENCE_BELOW = 7
"""Brief Action Planning, JCOM 2014; 21(1): under 7 of 10 the plan is looked at again."""
FALLEN_TO = 0.8
"""Minutes a day at or under this part of the period before count as falling."""
LEAST_DAYS = 3
"""Days with word that either period needs before their minutes are compared."""
NEGLECTED_BELOW = 0.5
"""A side counts as neglected under this part of what the plan wants for it."""
LEAST_SIDED_SESSIONS = 4


@dataclass(frozen=True, slots=True)
class Reason:
    """Why a family needs a look: points 0 to 10, and the figures that gave them, by name."""

    kind: ReasonKind
    points: float
    numbers: dict[str, float | str]


@dataclass(frozen=True, slots=True)
class Ranked:
    """A family's place. tier: 0 act_now, 1 same_day, 2 somebody else waits for the therapist, 3 nobody does.

    reasons: the weightiest first.
    """

    digest: FamilyDigest
    tier: int
    reasons: tuple[Reason, ...]

    @property
    def family(self) -> str:
        return self.digest.family

    @property
    def weightiest(self) -> float:
        return max((reason.points for reason in self.reasons), default=0.0)

    @property
    def points(self) -> float:
        return sum(reason.points for reason in self.reasons)


def ranked(digests: Iterable[FamilyDigest]) -> list[Ranked]:
    """Return the families, the one that needs the therapist first in front."""
    return sorted(
        (_ranked(digest) for digest in digests),
        key=lambda r: (r.tier, -r.weightiest, -r.points, r.digest.nickname, r.family),
    )


def _ranked(digest: FamilyDigest) -> Ranked:
    waiting = [URGENCIES.index(c.urgency) for c in digest.concerns if c.waits]
    waiting += [URGENCIES.index("tell_therapist") for q in digest.questions if q.answered_at is None]
    tier = min(waiting, default=len(URGENCIES))
    found = (
        *_concerns(digest),
        _questions(digest),
        _silence(digest),
        _falling(digest),
        *(neglected_side(figures) for figures in digest.activities),
        _confidence(digest),
        _distress(digest),
    )
    order = {kind: place for place, kind in enumerate(("act_now", "same_day", "tell_therapist", "questions"))}
    reasons = sorted(
        (reason for reason in found if reason), key=lambda r: (order.get(r.kind, len(order)), -r.points)
    )
    return Ranked(digest, tier, tuple(reasons))


def _concerns(digest: FamilyDigest) -> list[Reason]:
    """10 points while an act_now or same_day concern waits; else 2 for each that waits, 1 for each that was seen.

    One that was found to be none gives nothing.
    """
    reasons = []
    for urgency in URGENCIES:
        told = [c for c in digest.concerns if c.urgency == urgency and not c.wrong]
        waiting = sum(c.waits for c in told)
        if told:
            urgent = waiting > 0 and urgency != "tell_therapist"
            points = MOST_POINTS if urgent else min(MOST_POINTS, len(told) + waiting)
            reasons.append(Reason(urgency, points, {"n": len(told), "waiting": waiting}))
    return reasons


def _questions(digest: FamilyDigest) -> Reason | None:
    """2 points for each question that waits for an answer."""
    waiting = sum(question.answered_at is None for question in digest.questions)
    return Reason("questions", min(MOST_POINTS, 2.0 * waiting), {"n": waiting}) if waiting else None


def _silence(digest: FamilyDigest) -> Reason | None:
    """10 times the share of days without word; a single day says nothing yet."""
    silent = digest.days_without_word
    days = silent + digest.days_with_word
    if silent < 2:
        return None
    return Reason("silence", MOST_POINTS * silent / days, {"n": silent, "days": days})


def _falling(digest: FamilyDigest) -> Reason | None:
    """10 times the fall in minutes a day with word, from a fifth on, where both periods have three such days."""
    now, before = digest.pace, digest.previous_pace
    if now is None or before is None or min(now.days, before.days) < LEAST_DAYS or not before.minutes:
        return None
    part = now.a_day / before.a_day
    if part > FALLEN_TO:
        return None
    return Reason("falling", MOST_POINTS * (1 - part), {"now": now.a_day, "before": before.a_day})


def neglected_side(figures: ActivityFigures) -> Reason | None:
    """Return 10 times what a side lacks of the share of minutes the plan wants for it, from one half on.

    Needs four sessions that name a side: fewer could be chance.
    """
    wanted_left, left, right = figures.left_share, figures.left, figures.right
    sided = sum(entry.side is not None for entry in figures.entries)
    if (
        wanted_left is None
        or left is None
        or right is None
        or sided < LEAST_SIDED_SESSIONS
        or not left + right
    ):
        return None
    for side, minutes, wanted in (("left", left, wanted_left), ("right", right, 1 - wanted_left)):
        part = minutes / (left + right) / wanted if wanted else 1.0
        if part < NEGLECTED_BELOW:
            numbers: dict[str, float | str] = {
                "activity": figures.activity,
                "side": side,
                "minutes": minutes,
                "of": left + right,
                "share": minutes / (left + right),
                "wanted": wanted,
            }
            return Reason("side", MOST_POINTS * (1 - part), numbers)
    return None


def _confidence(digest: FamilyDigest) -> Reason | None:
    """The points that the lowest rating lacks of 7."""
    low = min(digest.confidence, key=lambda c: c.latest, default=None)
    if low is None or low.latest >= LOW_CONFIDENCE_BELOW:
        return None
    return Reason(
        "confidence", LOW_CONFIDENCE_BELOW - low.latest, {"activity": low.activity, "value": low.latest}
    )


def _distress(digest: FamilyDigest) -> Reason | None:
    """2 points for each time more than in the period before that the baby took it badly, from two more on."""
    poorly = [o for o in digest.observations if o.kind == "tolerated_poorly"]
    if any(o.count is None or o.previous is None for o in poorly):
        return None
    now, before = sum(o.count or 0 for o in poorly), sum(o.previous or 0 for o in poorly)
    if now - before < 2:
        return None
    return Reason("distress", min(MOST_POINTS, 2.0 * (now - before)), {"now": now, "before": before})
