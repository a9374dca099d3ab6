"""The learned reader: two scores of a message, and what they flag. The weights stand in weights.bin, what they are in model.json.

Each score is a logistic regression over the features of the message: the sum of the weights of its features over the
square root of their number. Trained by `python -m tests.training.concerns`.
"""

from __future__ import annotations

import json
from array import array
from dataclasses import dataclass
from functools import cache
from importlib import resources
from math import sqrt

from bot.concerns.finding import Urgency
from bot.concerns.learned.features import BUCKETS, features

WEIGHTS, DESCRIPTION = "weights.bin", "model.json"


@dataclass(frozen=True, slots=True)
class Score:
    """One regression. weights: a whole number from -127 to 127 a feature, to be multiplied by `scale`."""

    weights: array[int]
    scale: float
    bias: float

    def of(self, found: set[int]) -> float:
        """Return the log-odds of a message with these features."""
        weights = self.weights
        return self.bias + self.scale * sum([weights[place] for place in found]) / sqrt(max(len(found), 1))


@dataclass(frozen=True, slots=True)
class Model:
    """grave: act_now or same_day against the rest. act_now: against the rest.

    ask_from: log-odds of `grave` from which a message is asked about, chosen by cross-validation over the writers of the
    training lines. now_from: log-odds of `act_now` from which it is asked about as act_now.
    """

    grave: Score
    act_now: Score
    ask_from: float
    now_from: float

    def flags(self, text: str) -> Urgency | None:
        """Return how urgent a message may be, or None where it looks calm. Never fails, whatever the text."""
        found = features(text)
        if self.grave.of(found) < self.ask_from:
            return None
        return "act_now" if self.act_now.of(found) >= self.now_from else "same_day"


@cache
def shipped_model() -> Model:
    """Return the model that comes with the program."""
    folder = resources.files(__package__)
    about = json.loads((folder / DESCRIPTION).read_text(encoding="utf-8"))
    held = (folder / WEIGHTS).read_bytes()
    scores = [
        Score(
            array("b", held[place * BUCKETS : (place + 1) * BUCKETS]),
            about[name]["scale"],
            about[name]["bias"],
        )
        for place, name in enumerate(("grave", "act_now"))
    ]
    return Model(scores[0], scores[1], about["ask_from"], about["now_from"])
