"""Fitting the two regressions, and choosing by cross-validation from which score on a message is asked about."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.sparse import csr_matrix
from sklearn.linear_model import LogisticRegression

from bot.concerns.learned.features import BUCKETS, features
from bot.concerns.learned.model import Model, Score
from bot.concerns.reader import find_concerns
from tests.training.lines import ALARMS, Line

COST = 10.0  # of an error against the size of the weights; 3 to 100 measured alike on the tuning writers
TOLERANCE = 1e-3
MOST_ROUNDS = 1000
FOLDS = 4  # by writer
MOST_NEEDLESS = (
    0.018  # of calm messages, asked about in cross-validation: a little below the 2 % that is allowed
)
MOST_UNDOUBTED = 0.07  # of act_now lines, that look as if nothing were the matter
MOST_WRONGLY_DOUBTED = (
    0.15  # of the alarms that are asked about first; trouble is far rarer in life than in these lines
)
NOW_FROM = 0.0  # log-odds: as likely act_now as not
_STEPS = 127


@dataclass(frozen=True, slots=True)
class Scored:
    """A line with its scores by a model that has not seen its writer, and the urgency that the rules raised."""

    line: Line
    grave: float
    act_now: float
    raised: str | None


def matrix(lines: Sequence[Line]) -> csr_matrix:
    """Return a row a line: at each of its features one over the square root of how many their group holds."""
    places: list[int] = []
    ends, values = [0], []
    for line in lines:
        for group in features(line.text):
            places += sorted(group)
            values += [len(group) ** -0.5 for _ in group]
        ends.append(len(places))
    table = csr_matrix((values, places, ends), shape=(len(lines), BUCKETS))
    table.sum_duplicates()
    return table


def fit(lines: Sequence[Line]) -> tuple[Score, Score]:
    """Return the scores "grave" and "act_now" learnt from the lines, weights in whole steps. The same lines give the same bits."""
    table = matrix(lines)
    return (
        _score(table, [line.label in ALARMS for line in lines]),
        _score(table, [line.label == "act_now" for line in lines]),
    )


def _score(table: csr_matrix, wanted: list[bool]) -> Score:
    learner = LogisticRegression(
        solver="liblinear", dual=True, C=COST, tol=TOLERANCE, max_iter=MOST_ROUNDS, random_state=0
    )
    learner.fit(table, np.array(wanted))
    weights = learner.coef_[0]
    scale = float(f"{np.abs(weights).max() / _STEPS:.6g}")
    steps = np.clip(np.rint(weights / scale), -_STEPS, _STEPS).astype(np.int8)
    return Score.stored(steps.tobytes(), scale, round(float(learner.intercept_[0]), 4))


def cross_validated(hands: Sequence[Line], beside: Sequence[Line]) -> list[Scored]:
    """Score every line of the hands by a model trained without its writer. beside: lines that every fold is trained on too."""
    scored: list[Scored] = []
    for fold in range(FOLDS):
        kept = [line for line in hands if _fold(line) != fold]
        left = [line for line in hands if _fold(line) == fold]
        scored += scored_by(fit([*kept, *beside]), left)
    return scored


def scored_by(scores: tuple[Score, Score], lines: Sequence[Line]) -> list[Scored]:
    grave, act_now = scores
    out = []
    for line in lines:
        found = features(line.text)
        concern = find_concerns(line.text, age_weeks=line.age_weeks, affected_side=line.affected_side).concern
        out.append(Scored(line, grave.of(found), act_now.of(found), concern.urgency if concern else None))
    return out


def model_of(scores: tuple[Score, Score], scored: Sequence[Scored]) -> Model:
    """Return the model of two scores, with the thresholds that lines scored without their writer give."""
    return Model(*scores, ask_from(scored), NOW_FROM, doubt_from(scored), calm_under(scored))


def ask_from(scored: Sequence[Scored]) -> float:
    """Return the lowest score that keeps needless questions within MOST_NEEDLESS.

    Needless: about a line that is neither act_now nor same_day, where the rules raise neither.
    """
    calm = [each for each in scored if each.line.label == "neither"]
    asked = sorted((each.grave for each in calm if each.raised not in ALARMS), reverse=True)
    return round(asked[int(MOST_NEEDLESS * len(calm))] + 0.0001, 4)


def doubt_from(scored: Sequence[Scored]) -> float:
    """Return the score that all but MOST_UNDOUBTED of the act_now lines reach."""
    grave = sorted(each.grave for each in scored if each.line.label == "act_now")
    return round(grave[int(MOST_UNDOUBTED * len(grave))], 4)


def calm_under(scored: Sequence[Scored]) -> float:
    """Return the highest score under which at most MOST_WRONGLY_DOUBTED of the alarms that the rules raise are true."""
    alarms = sorted((each.grave, each.line.label in ALARMS) for each in scored if each.raised in ALARMS)
    chosen, true = alarms[0][0], 0
    for place, (grave, right) in enumerate(alarms):
        if true <= MOST_WRONGLY_DOUBTED * place:
            chosen = grave
        true += right
    return round(chosen, 4)


def _fold(line: Line) -> int:
    assert line.writer is not None
    return int(line.writer[1:]) % FOLDS
