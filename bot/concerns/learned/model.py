"""The learned reader: two scores of a message, and what they flag. The weights stand in weights.bin, what they are in model.json.

Each score is a logistic regression over the features of the message, each group of them weighed by `weight`. Trained by `python -m tests.training.concerns`.
"""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from functools import cache
from importlib import resources
from math import exp

from bot.concerns.finding import Urgency
from bot.concerns.learned.features import BUCKETS, Groups, features, weight

FEWEST_FOR_CALM = (
    95  # pieces of words and words: fewer say too little to doubt an alarm, however calm they look
)
CALMEST_ASKED = -5.0  # log-odds of trouble: no message calmer than this is asked about for what it looks like
_SHIFT = 128  # so that bytes hold the weights: quick to look up, and small beside the processor
_SHIFTED = bytes((n + _SHIFT) % 256 for n in range(256))  # its own inverse
WEIGHTS, DESCRIPTION = "weights.bin", "model.json"
THRESHOLDS = ("ask_from", "now_from", "doubt_from", "sure_from", "calm_under", "calmest_under")


@dataclass(frozen=True, slots=True)
class Score:
    """One regression. weights: for each feature a whole number from -127 to 127, shifted, to be multiplied by `scale`."""

    weights: bytes
    scale: float
    bias: float

    @classmethod
    def stored(cls, steps: bytes, scale: float, bias: float) -> Score:
        """Return the regression whose weights are stored as signed bytes."""
        return cls(steps.translate(_SHIFTED), scale, bias)

    def to_store(self) -> bytes:
        """Return the weights as signed bytes."""
        return self.weights.translate(_SHIFTED)

    def of(self, found: Iterable[Collection[int]]) -> float:
        """Return the log-odds of a message with these groups of features."""
        weights = self.weights
        sums = [
            (sum(map(weights.__getitem__, group)) - _SHIFT * len(group)) * weight(place, len(group))
            for place, group in enumerate(found)
            if group
        ]
        return self.bias + self.scale * sum(sums)


def is_short(found: Groups) -> bool:
    """Say whether a message has too few words for an alarm in it to be doubted."""
    pieces, words, *_ = found
    return len(pieces) + len(words) < FEWEST_FOR_CALM


@dataclass(frozen=True, slots=True)
class Judgement:
    """What the learned reader makes of one message.

    grave: log-odds of trouble. urgency: the likelier one, if it is trouble. flagged: it is asked about for that alone.
    doubtful: it may tell of trouble, so that only what plainly reports is counted. sure: so like messages of trouble that
    signs told by concept alone are raised. calm: so unlike them that an alarm is asked about first. calmest: so unlike them that words which
    explain it spare the question.
    """

    grave: float
    urgency: Urgency
    flagged: bool
    doubtful: bool
    sure: bool
    calm: bool
    calmest: bool

    @property
    def share(self) -> float:
        """Return the probability, 0 to 1, that the message is act_now or same_day."""
        return 1 / (1 + exp(-self.grave))


@dataclass(frozen=True, slots=True)
class Model:
    """grave: act_now or same_day against the rest. act_now: against the rest. The rest are log-odds of these.

    ask_from: of `grave`, from which a message is asked about; doubt_from: from which it may tell of trouble; sure_from: from
    which signs told by concept alone are raised; calm_under: under which an alarm is asked about first; calmest_under: under which it is
    left to the therapist where words explain it. All are chosen by cross-validation over the hands that wrote the training lines.
    now_from: of `act_now`, from which a message is asked about as act_now.
    """

    grave: Score
    act_now: Score
    ask_from: float
    now_from: float
    doubt_from: float
    sure_from: float
    calm_under: float
    calmest_under: float

    def judge(self, text: str, signs: Collection[str] = ()) -> Judgement:
        """Return what to make of a message. Never fails, whatever the text. signs: of `Findings.seen`."""
        found = features(text, signs)
        grave = self.grave.of(found)
        act_now = self.act_now.of(found) if grave >= CALMEST_ASKED else CALMEST_ASKED
        return self.judgement(grave, act_now, short=is_short(found))

    def judgement(self, grave: float, act_now: float, *, short: bool) -> Judgement:
        """Return what to make of two scores. short: of too few words for an alarm to be doubted."""
        return Judgement(
            grave,
            "act_now" if act_now >= self.now_from else "same_day",
            flagged=grave >= self.ask_from,
            doubtful=grave >= self.doubt_from,
            sure=grave >= self.sure_from,
            calm=not short and grave < self.calm_under,
            calmest=not short and grave < self.calmest_under,
        )


@cache
def shipped_model() -> Model:
    """Return the model that comes with the program."""
    folder = resources.files(__package__)
    about = json.loads((folder / DESCRIPTION).read_text(encoding="utf-8"))
    held = (folder / WEIGHTS).read_bytes()
    scores = [
        Score.stored(
            held[place * BUCKETS : (place + 1) * BUCKETS],
            about[name]["scale"],
            about[name]["bias"],
        )
        for place, name in enumerate(("grave", "act_now"))
    ]
    return Model(scores[0], scores[1], *(about[name] for name in THRESHOLDS))
