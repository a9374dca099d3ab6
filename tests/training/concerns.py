"""Train the learned reader of concerns, and write it to bot/concerns/learned. Run from the root: python -m tests.training.concerns

With --clinic FILE the lines that a clinic kept with `underwing learn-words` are learnt from too; the weights then are that
installation's own. With --figures nothing is written: it prints what is read of each hand by models of the others, precision, recall and
calibration by threshold, and a learning curve.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Sequence
from math import exp
from pathlib import Path

import sklearn

import bot.concerns.learned
from bot.concerns.finding import Concern
from bot.concerns.learned.model import DESCRIPTION, THRESHOLDS, WEIGHTS, Model
from tests.benchmarks.labelled import HANDS_LEARN, HANDS_TUNE
from tests.training.fitting import (
    MOST_NEEDLESS,
    MOST_UNDOUBTED,
    MOST_WRONGLY_DOUBTED,
    MOST_WRONGLY_LET_BE,
    MOST_WRONGLY_SURE,
    Scored,
    cross_validated,
    fit,
    hand_of,
    model_of,
    scored_by,
    weighed,
)
from tests.training.lines import ALARMS, Line, beside_hands, every_line, hash_of, of_clinic, of_hands

FOLDER = Path(bot.concerns.learned.__file__).parent
CURVE = (2, 4, 6, 8)  # hands
NEAR = 0.5  # of a score, where the share of trouble is counted


def main() -> None:
    if "--figures" in sys.argv[1:]:
        print_figures()
        return
    hands = of_hands(HANDS_LEARN) + of_hands(HANDS_TUNE)
    own = of_clinic(Path(sys.argv[sys.argv.index("--clinic") + 1])) if "--clinic" in sys.argv else []
    lines = [*every_line(), *own]
    write(model_of(fit(lines), cross_validated(hands, [*beside_hands(), *own])), lines)


def write(model: Model, lines: list[Line]) -> None:
    (FOLDER / WEIGHTS).write_bytes(model.grave.to_store() + model.act_now.to_store())
    thresholds = {name: getattr(model, name) for name in THRESHOLDS}
    about = {
        "trained_by": "python -m tests.training.concerns",
        "scikit_learn": sklearn.__version__,
        "lines": len(lines),
        "lines_sha256": hash_of(lines),
        "most_needless": MOST_NEEDLESS,
        "most_undoubted": MOST_UNDOUBTED,
        "most_wrongly_sure": MOST_WRONGLY_SURE,
        "most_wrongly_doubted": MOST_WRONGLY_DOUBTED,
        "most_wrongly_let_be": MOST_WRONGLY_LET_BE,
        **thresholds,
        "grave": {"scale": model.grave.scale, "bias": model.grave.bias},
        "act_now": {"scale": model.act_now.scale, "bias": model.act_now.bias},
    }
    (FOLDER / DESCRIPTION).write_text(json.dumps(about, indent=2) + "\n", encoding="utf-8")
    print(f"{len(lines)} lines", *(f"{name} {value}" for name, value in thresholds.items()), sep=", ")


def print_figures() -> None:
    """Print what is read of each hand by a model and thresholds of the other hands, and all of them summed up."""
    beside = beside_hands()
    hands = of_hands(HANDS_LEARN) + of_hands(HANDS_TUNE)
    scored = cross_validated(hands, beside)
    scores = fit(hands)
    weighed_by_hand = {
        hand: (
            [each for each in scored if hand_of(each.line) == hand],
            model_of(scores, [each for each in scored if hand_of(each.line) != hand]),
        )
        for hand in sorted({hand_of(line) for line in hands})
    }
    print("each hand by what the others taught")
    pairs = [(each, model) for left, model in weighed_by_hand.values() for each in left]
    print(row("rules alone, all hands", [(each, None) for each, _ in pairs]))
    for hand, (left, model) in weighed_by_hand.items():
        print(row(f"hand {hand}", [(each, model) for each in left]))
    print(row("all hands", pairs))
    print_recall(scored)
    print_curve(hands, beside)


def print_recall(scored: list[Scored]) -> None:
    print("\nprecision and recall of `grave` by threshold, rules left out; trouble among lines of that score")
    for threshold in (-3, -2, -1, 0, 0.5, 1, 1.5, 2, 3, 4):
        flagged = [each for each in scored if each.grave >= threshold]
        right = sum(each.line.label in ALARMS for each in flagged)
        wanted = sum(each.line.label in ALARMS for each in scored)
        beside = [each.line.label in ALARMS for each in scored if abs(each.grave - threshold) < NEAR]
        print(
            f"  {threshold:5}  precision {right / len(flagged):.3f}  recall {right / wanted:.3f}"
            f"  expected {1 / (1 + exp(-threshold)):.3f}  true {sum(beside) / len(beside):.3f} of {len(beside)}"
        )


def print_curve(hands: list[Line], beside: list[Line]) -> None:
    print("\nlearning curve: the last hand by models of the first ones")
    names = sorted({hand_of(line) for line in hands})
    left = [line for line in hands if hand_of(line) == names[-1]]
    for count in CURVE:
        some = [line for line in hands if hand_of(line) in names[:count]]
        model = model_of(fit([*some, *beside]), cross_validated(some, beside))
        read = scored_by((model.grave, model.act_now), left)
        print(row(f"{count} hands", [(each, model) for each in read]))


def row(name: str, scored: Sequence[tuple[Scored, Model | None]]) -> str:
    """Return one line of figures, by label: raised so gravely, and raised or asked about. Model: None for the rules alone."""
    read = [
        (each.line.label, each.found if model is None else weighed(each, model)) for each, model in scored
    ]
    parts = [f"{name:24}"]
    for label in ALARMS:
        graver = ALARMS[: ALARMS.index(label) + 1]
        found = [each for wanted, each in read if wanted == label]
        raised = sum(urgency_of(each.concern) in graver for each in found)
        asked = sum(
            {urgency_of(each.concern), urgency_of(each.unclear)} & set(graver) != set() for each in found
        )
        parts.append(f"{label} {raised} raised, {asked} raised or asked, of {len(found)};")
    calm = [each for wanted, each in read if wanted == "neither"]
    alarms = sum(urgency_of(each.concern) in ALARMS for each in calm)
    needless = sum(each.unclear is not None and urgency_of(each.concern) not in ALARMS for each in calm)
    parts.append(f"false alarms {alarms}, needless questions {needless}, of {len(calm)}")
    return " ".join(parts)


def urgency_of(concern: Concern | None) -> str | None:
    return concern.urgency if concern else None


if __name__ == "__main__":
    main()
