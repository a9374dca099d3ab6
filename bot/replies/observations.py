"""What the carer saw: a verb and a part of the body in one clause, or a word for how the baby took it."""

from __future__ import annotations

from bot.replies.marks import Mark, kinds
from bot.replies.page import SEEN, Page
from bot.replies.reading import Observation, ObservationKind
from bot.replies.sides import is_observed, side_at
from scheduling.sides import Side

_DENIALS = frozenset({"neg"})
_NEAR = 2
_MOST_UNKNOWN = 1  # words in an answer that only says how it went: "laughing at the dog"
# Activities that are also something a baby does by himself.
_ALSO_SEEN: dict[str, ObservationKind] = {
    "hand_to_mouth": "hand_to_mouth", "rolling": "roll", "head_turning": "head_turn", "reaching": "arm_movement",
}  # fmt: skip


def observations_of(
    page: Page, used: set[int], done: bool, concerned: bool
) -> tuple[list[Observation], set[int]]:
    """Return the observations of a message in the order of the text, none twice, and the marks they account for.

    used: marks that entries account for. done: whether something was done, so that a mood or sleep is how it was
    taken. concerned: beside a concern only what a session's own sentence tells is something seen.
    """
    found: dict[ObservationKind, Observation] = {}
    marks: set[int] = set()
    pained = _pained_sentences(page, used)
    logging = _sentences(page, used)
    answering = page.context.prompt is not None and len(page.where("unknown")) <= _MOST_UNKNOWN
    for clause in page.shape.clauses:
        if clause.asks or (concerned and clause.sentence not in logging):
            continue
        span = range(clause.first, clause.end)
        if any(n in page.hidden for n in span) and not any(n in used for n in span):
            continue  # a sign of trouble: told as such, and in the carer's own words
        former = next((n for n in span if page.row[n].kind == "former"), clause.end)
        side = _side(page, span)
        before = len(marks)
        for kind, at in _seen_in(page, span, used, done):
            if at > former or _is_denied(page.row, at, clause.first) or at in page.hidden:
                continue
            if page.row[at].kind in SEEN and at in used:
                continue  # the family's deed: "rolled him at every change"
            if kind == "tolerated_poorly" and clause.sentence in pained:
                continue
            if kind in _MOODS and not (done or answering):
                continue  # how somebody is, and not how a session was taken
            found.setdefault(kind, Observation(kind, side if kind not in _MOODS else None))
            marks |= _with_count(page.row, at)
        if len(marks) > before:
            marks.update(n for n in span if page.row[n].kind in _PARTS)
    if len(found) > 1 and all(
        page.row[n].letter == "w" and _is_sign(page.row[n]) for n in marks if page.row[n].kind == "bad"
    ):
        found.pop("tolerated_poorly", None)  # tears of joy
    return list(found.values()), marks


def _with_count(row: list[Mark], at: int) -> set[int]:
    """Return a mark and the number that counts it: "two turns"."""
    counted = at > 0 and "counted" in row[at].notes and row[at - 1].kind == "number"
    return {at - 1, at} if counted else {at}


def _pained_sentences(page: Page, used: set[int]) -> set[int]:
    """Return the sentences that tell of a sign of trouble and log nothing: crying there is no word of an activity."""
    return _sentences(page, page.hidden) - _sentences(page, used)


def _sentences(page: Page, places: set[int] | frozenset[int]) -> set[int]:
    """Return the sentences that hold any of some marks."""
    shape = page.shape
    return {shape.clauses[shape.clause_of[n]].sentence for n in places if shape.clause_of[n] >= 0}


def _is_sign(mark: Mark) -> bool:
    return mark.end - mark.start == 1


_OBSERVED: dict[str, ObservationKind] = {
    "head_lift": "head_lift",
    "head_turn": "head_turn",
    "hand_to_mouth": "hand_to_mouth",
    "arm_movement": "arm_movement",
}
_MOODS = frozenset({"tolerated_well", "tolerated_poorly", "fell_asleep"})
_PARTS = kinds(
    "turn head lift trunk hand mouth suck arm move reach grab roll side both count good bad asleep refused"
)


def _seen_in(page: Page, span: range, used: set[int], done: bool) -> list[tuple[ObservationKind, int]]:
    """Return what a clause tells of the baby, each with the mark that tells it."""
    row = page.row
    first: dict[str, int] = {}
    for n in span:
        first.setdefault(row[n].kind, n)
    seen: list[tuple[ObservationKind, int]] = []

    def add(kind: ObservationKind, verb: str, *others: str) -> None:
        if verb in first and (not others or any(o in first for o in others)):
            seen.append((kind, first[verb]))

    planned = any(row[n].kind in ("future", "later") for n in span)
    if planned:
        return seen
    add("head_turn", "turn", "head", "side", "both")
    add("head_turn", "move", "head")
    add("head_lift", "lift", "head", "trunk")
    if "lift" in first and any(
        row[n].kind == "activity" and row[n].value == "chest_tummy_time" for n in span
    ):
        seen.append(("head_lift", first["lift"]))
    add("hand_to_mouth", "hand", "mouth")
    add("hand_to_mouth", "suck", "hand", "arm")
    add("arm_movement", "reach")
    went = all(row[n].value == "went" for n in span if row[n].kind == "move")
    add("arm_movement", "move", "arm", "hand", *([] if went else ["side"]))
    if "lift" in first and row[first["lift"]].value != "hold":
        add("arm_movement", "lift", "arm", "hand")
        if "head" not in first and "side" in first and row[first["side"]].value in ("affected", "other"):
            add("arm_movement", "lift")
    if "measured" not in first and "event" not in first:
        weak = all(row[n].value == "weak" for n in span if row[n].kind == "grab")
        add("grasp", "grab", *(["hand", "side"] if weak else []))
    add("roll", "roll")
    seen += [(_ALSO_SEEN[row[n].value], n) for n in span if _is_activity_seen(page, n, used)]
    return seen + _moods_in(page, span, used, done)


def _moods_in(page: Page, span: range, used: set[int], done: bool) -> list[tuple[ObservationKind, int]]:
    """Return how it was taken, and what is named by one phrase: "head came right up"."""
    row = page.row
    seen: list[tuple[ObservationKind, int]] = []
    for n in span:
        if row[n].kind == "observed":
            seen.append((_OBSERVED[row[n].value], n))
        elif row[n].kind == "good":
            seen.append(("tolerated_well", n))
        elif row[n].kind == "bad" or (row[n].kind == "refused" and done):
            seen.append(("tolerated_poorly", n))
        elif row[n].kind == "asleep" and done and not _lasted(page, n, used):
            seen.append(("fell_asleep", n))
    return seen


def _is_activity_seen(page: Page, at: int, used: set[int]) -> bool:
    """Return whether an activity that babies also do by themselves is named as something seen."""
    mark = page.row[at]
    if mark.kind != "activity" or mark.value not in _ALSO_SEEN or at in used or at in page.shape.denied:
        return False
    if any(page.row[n].kind == "activity" and page.row[n].value == mark.value for n in used):
        return False
    return "tried" not in page.kinds_beside(at)


def _lasted(page: Page, at: int, used: set[int]) -> bool:
    """Return whether a sleep of its own length is told, not how an activity ended: "slept 2 hours, then 6 min"."""
    following = at + 1
    return following < len(page.row) and page.row[following].kind == "amount" and following not in used


def _is_denied(row: list[Mark], at: int, first: int) -> bool:
    return any(row[n].kind in _DENIALS for n in range(max(first, at - _NEAR), at))


def _side(page: Page, span: range) -> Side | None:
    for n in span:
        if page.row[n].kind == "side" and is_observed(page.row, n, span.start, span.stop):
            return side_at(page.row, n, page.context)
    return None
