"""Train the learned reader of concerns, and write it to bot/concerns/learned. Run from the root: python -m tests.training.concerns

With --clinic FILE the lines that a clinic kept with `underwing learn-words` are learnt from too; the weights then are that
installation's own. With --figures nothing is written: it prints what models trained on the first writers read of the tuning writers, as a
precision-recall row a threshold and a learning curve.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path

import sklearn

import bot.concerns.learned
from bot.concerns.finding import Concern
from bot.concerns.learned.model import DESCRIPTION, THRESHOLDS, WEIGHTS, Model
from tests.benchmarks.labelled import HANDS_LEARN, HANDS_TUNE
from tests.training.fitting import (
    MOST_NEEDLESS,
    MOST_UNDOUBTED,
    MOST_WRONGLY_CALM,
    MOST_WRONGLY_DOUBTED,
    MOST_WRONGLY_SURE,
    Scored,
    cross_validated,
    fit,
    model_of,
    scored_by,
    weighed,
)
from tests.training.lines import ALARMS, Line, every_line, hash_of, of_clinic, of_hands, of_rules

FOLDER = Path(bot.concerns.learned.__file__).parent
CURVE = (3, 6, 9, 12)  # writers of each hand


def main() -> None:
    if "--figures" in sys.argv[1:]:
        print_figures()
        return
    hands = of_hands(HANDS_LEARN) + of_hands(HANDS_TUNE)
    own = of_clinic(Path(sys.argv[sys.argv.index("--clinic") + 1])) if "--clinic" in sys.argv else []
    lines = [*every_line(), *own]
    write(model_of(fit(lines), cross_validated(hands, [*of_rules(), *own])), lines)


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
        "most_wrongly_calm": MOST_WRONGLY_CALM,
        **thresholds,
        "grave": {"scale": model.grave.scale, "bias": model.grave.bias},
        "act_now": {"scale": model.act_now.scale, "bias": model.act_now.bias},
    }
    (FOLDER / DESCRIPTION).write_text(json.dumps(about, indent=2) + "\n", encoding="utf-8")
    print(f"{len(lines)} lines", *(f"{name} {value}" for name, value in thresholds.items()), sep=", ")


def print_figures() -> None:
    learn, tune, beside = of_hands(HANDS_LEARN), of_hands(HANDS_TUNE), of_rules()
    chosen = model_of(fit([*learn, *beside]), cross_validated(learn, beside))
    scored = scored_by((chosen.grave, chosen.act_now), tune)
    print("trained on writers 1-12, thresholds chosen on them; read: writers 13-16")
    print(row("rules alone", scored, None))
    print(row("with the learned reader", scored, chosen))
    doubted = [each for each in scored if each.raised in ALARMS and not each.short]
    for name in ("calm_under", "wholly_calm_under"):
        held = [each.line.label in ALARMS for each in doubted if each.grave < getattr(chosen, name)]
        print(
            f"alarms of the rules under {name} {getattr(chosen, name)}: {len(held)}, of them true {sum(held)}"
        )
    print("\nprecision and recall of `grave` by threshold, rules left out")
    for threshold in (-2, -1, 0, 0.5, 1, 1.5, 2, 3, 4):
        flagged = [each for each in scored if each.grave >= threshold]
        right = sum(each.line.label in ALARMS for each in flagged)
        wanted = sum(each.line.label in ALARMS for each in scored)
        print(f"  {threshold:5}  precision {right / len(flagged):.3f}  recall {right / wanted:.3f}")
    print("\nlearning curve: writers of each hand, same threshold rules")
    for writers in CURVE:
        some = [line for line in learn if line.writer is not None and int(line.writer[1:]) <= writers]
        model = model_of(fit([*some, *beside]), cross_validated(some, beside))
        print(row(f"{writers} writers", scored_by((model.grave, model.act_now), tune), model))


def row(name: str, scored: list[Scored], model: Model | None) -> str:
    """Return one line of figures, by label: raised so gravely, and raised or asked about. model: None for the rules alone."""
    read = [(each.line.label, each.found if model is None else weighed(each, model)) for each in scored]
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
