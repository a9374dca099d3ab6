"""Fitting the two regressions, and choosing by cross-validation from which score on a message is asked about."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
from scipy.sparse import csr_matrix, diags
from sklearn.linear_model import LogisticRegression

from bot.concerns.finding import Findings
from bot.concerns.learned.asking import with_question
from bot.concerns.learned.features import BUCKETS, Groups, features, weight
from bot.concerns.learned.model import Model, Score, is_short
from bot.concerns.reader import find_concerns
from tests.training.lines import ALARMS, Line

COST = 2.0  # of an error against the size of the weights; 1 to 10 measured alike on writers left out
OF_A_HAND, OF_RULES = 3.0, 1.0  # how much a line counts: those written beside the rules are short and plain
SEEN_ONCE = 1.0  # times that every feature is taken to have been seen beforehand, with either answer
MOST_TELLING = 3.0  # of the logarithm of how much likelier a feature is with one answer
TOLERANCE = 1e-3
MOST_ROUNDS = 1000
MOST_NEEDLESS = 0.02  # of calm messages, asked about where the rules raise nothing
MOST_UNDOUBTED = 0.05  # of act_now lines, that look as if nothing were the matter
MOST_WRONGLY_SURE = 0.004  # of calm messages, where signs told by concept alone are raised
MOST_WRONGLY_DOUBTED = 0.2  # of the alarms that are asked about first; trouble is far rarer in life
MOST_WRONGLY_LET_BE = 0.01  # of the alarms with words that explain them, which the therapist alone reads
NOW_FROM = 0.0  # log-odds: as likely act_now as not
_STEPS = 127
Numbers = np.ndarray[tuple[int], np.dtype[np.float64]]
Flags = np.ndarray[tuple[int], np.dtype[np.bool_]]


@dataclass(frozen=True, slots=True)
class Scored:
    """A line with its scores by a model that has not seen its hand, and what the rules found.

    short: of too few words for an alarm to be doubted.
    """

    line: Line
    grave: float
    act_now: float
    found: Findings
    short: bool = False

    @property
    def raised(self) -> str | None:
        """The urgency that the rules raised."""
        return self.found.concern.urgency if self.found.concern else None


@cache
def read(line: Line) -> tuple[Findings, Groups]:
    """Return what the rules find in a line, and its features."""
    found = find_concerns(line.text, age_weeks=line.age_weeks, affected_side=line.affected_side)
    return found, features(line.text, () if line.of_rules else found.seen)


def matrix(lines: Sequence[Line]) -> csr_matrix:
    """Return a row a line: at each of its features how much it counts in its group."""
    places: list[int] = []
    ends, values = [0], []
    for line in lines:
        for group, held in enumerate(read(line)[1]):
            places += sorted(held)
            values += [weight(group, len(held)) for _ in held]
        ends.append(len(places))
    table = csr_matrix((values, places, ends), shape=(len(lines), BUCKETS))
    table.sum_duplicates()
    return table


def fit(lines: Sequence[Line]) -> tuple[Score, Score]:
    """Return the scores "grave" and "act_now" learnt from the lines, weights in whole steps. The same lines give the same bits."""
    table = matrix(lines)
    count = np.array([OF_RULES if line.of_rules else OF_A_HAND for line in lines])
    return (
        _score(table, [line.label in ALARMS for line in lines], count),
        _score(table, [line.label == "act_now" for line in lines], count),
    )


def _score(table: csr_matrix, wanted: list[bool], count: Numbers) -> Score:
    learner = LogisticRegression(
        solver="liblinear", dual=True, C=COST, tol=TOLERANCE, max_iter=MOST_ROUNDS, random_state=0
    )
    answers = np.array(wanted)
    telling = _telling(table, answers, count)
    learner.fit(table @ diags(telling), answers, sample_weight=count)
    weights = learner.coef_[0] * telling
    scale = float(f"{np.abs(weights).max() / _STEPS:.6g}")
    steps = np.clip(np.rint(weights / scale), -_STEPS, _STEPS).astype(np.int8)
    return Score.stored(steps.tobytes(), scale, round(float(learner.intercept_[0]), 4))


def _telling(table: csr_matrix, answers: Flags, count: Numbers) -> Numbers:
    """Return how much each feature counts before learning: the more, the likelier it is with one answer than with the other.

    After Wang and Manning 2012, Baselines and bigrams (ACL): weights of a naive Bayes model, here their square roots.
    """
    held = [SEEN_ONCE + table[of].T @ count[of] for of in (answers, ~answers)]
    first, second = (each / each.sum() for each in held)
    telling: Numbers = np.sqrt(np.minimum(np.abs(np.log(first / second)), MOST_TELLING))
    return telling


def cross_validated(hands: Sequence[Line], beside: Sequence[Line]) -> list[Scored]:
    """Score every line of the hands by a model trained without its whole hand, whose writers are of one kind.

    beside: lines that every such model is trained on too.
    """
    scored: list[Scored] = []
    for hand in sorted({hand_of(line) for line in hands}):
        kept = [line for line in hands if hand_of(line) != hand]
        left = [line for line in hands if hand_of(line) == hand]
        scored += scored_by(fit([*kept, *beside]), left)
    return scored


def scored_by(scores: tuple[Score, Score], lines: Sequence[Line]) -> list[Scored]:
    grave, act_now = scores
    out = []
    for line in lines:
        found, held = read(line)
        short = is_short(held)
        out.append(Scored(line, grave.of(held), act_now.of(held), found, short))
    return out


def weighed(each: Scored, model: Model) -> Findings:
    """Return what is raised and asked about a line, by the scores that it has."""
    judged = model.judgement(each.grave, each.act_now, short=each.short)
    return with_question(each.found, judged)


def model_of(scores: tuple[Score, Score], scored: Sequence[Scored]) -> Model:
    """Return the model of two scores, with the thresholds that lines scored without their writer give."""
    sure = sure_from(scored)
    calm = calm_under(scored, MOST_WRONGLY_DOUBTED)
    calmest = min(calm, calm_under([each for each in scored if each.found.explained], MOST_WRONGLY_LET_BE))
    return Model(*scores, ask_from(scored, sure), NOW_FROM, doubt_from(scored), sure, calm, calmest)


def sure_from(scored: Sequence[Scored]) -> float:
    """Return the lowest score that keeps calm messages where only signs told by concept are raised within MOST_WRONGLY_SURE."""
    calm = [each for each in scored if each.line.label == "neither"]
    hinted = sorted(
        (each.grave for each in calm if each.found.hinted is not None and each.raised not in ALARMS),
        reverse=True,
    )
    return round(hinted[int(MOST_WRONGLY_SURE * len(calm))] + 0.0001, 4)


def ask_from(scored: Sequence[Scored], sure: float) -> float:
    """Return the lowest score that keeps needless questions within MOST_NEEDLESS.

    Needless: about a line that is neither act_now nor same_day, where nothing is raised.
    """
    calm = [each for each in scored if each.line.label == "neither"]
    asked = sorted(
        (
            each.grave
            for each in calm
            if each.raised not in ALARMS and not (each.found.hinted is not None and each.grave >= sure)
        ),
        reverse=True,
    )
    return round(asked[int(MOST_NEEDLESS * len(calm))] + 0.0001, 4)


def doubt_from(scored: Sequence[Scored]) -> float:
    """Return the score that all but MOST_UNDOUBTED of the act_now lines reach."""
    grave = sorted(each.grave for each in scored if each.line.label == "act_now")
    return round(grave[int(MOST_UNDOUBTED * len(grave))], 4)


def calm_under(scored: Sequence[Scored], most_true: float) -> float:
    """Return the highest score under which at most such a share of the alarms that the rules raise is true."""
    alarms = sorted(
        (each.grave, each.line.label in ALARMS) for each in scored if each.raised in ALARMS and not each.short
    )
    chosen, true = alarms[0][0], 0
    for place, (grave, right) in enumerate(alarms):
        if true <= most_true * place:
            chosen = grave
        true += right
    return round(chosen, 4)


def hand_of(line: Line) -> str:
    """Return the letter of the hand that wrote a line."""
    assert line.writer is not None
    return line.writer[0]
