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
from bot.concerns.learned.model import DESCRIPTION, WEIGHTS, Model
from tests.benchmarks.labelled import HANDS_LEARN, HANDS_TUNE
from tests.training.fitting import (
    MOST_NEEDLESS,
    MOST_UNDOUBTED,
    MOST_WRONGLY_DOUBTED,
    Scored,
    cross_validated,
    fit,
    model_of,
    scored_by,
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
    about = {
        "trained_by": "python -m tests.training.concerns",
        "scikit_learn": sklearn.__version__,
        "lines": len(lines),
        "lines_sha256": hash_of(lines),
        "most_needless": MOST_NEEDLESS,
        "most_undoubted": MOST_UNDOUBTED,
        "most_wrongly_doubted": MOST_WRONGLY_DOUBTED,
        "ask_from": model.ask_from,
        "now_from": model.now_from,
        "doubt_from": model.doubt_from,
        "calm_under": model.calm_under,
        "grave": {"scale": model.grave.scale, "bias": model.grave.bias},
        "act_now": {"scale": model.act_now.scale, "bias": model.act_now.bias},
    }
    (FOLDER / DESCRIPTION).write_text(json.dumps(about, indent=2) + "\n", encoding="utf-8")
    print(
        f"{about['lines']} lines, asks from {model.ask_from}, doubts from {model.doubt_from}, calm {model.calm_under}"
    )


def print_figures() -> None:
    learn, tune, beside = of_hands(HANDS_LEARN), of_hands(HANDS_TUNE), of_rules()
    chosen = model_of(fit([*learn, *beside]), cross_validated(learn, beside))
    scored = scored_by((chosen.grave, chosen.act_now), tune)
    print(f"trained on writers 1-12, threshold {chosen.ask_from} chosen on them; read: writers 13-16")
    print(row("rules alone", scored, float("inf")))
    print(row("with the learned reader", scored, chosen.ask_from))
    doubted = [each for each in scored if each.raised in ALARMS and each.grave < chosen.calm_under]
    true = sum(each.line.label in ALARMS for each in doubted)
    print(
        f"alarms of the rules asked about first, under {chosen.calm_under}: {len(doubted)}, of them true {true}"
    )
    print("\nprecision and recall of `grave` by threshold, rules left out")
    for threshold in (-2, -1, 0, 0.5, 1, 1.5, 2, 3, 4):
        flagged = [each for each in scored if each.grave >= threshold]
        right = sum(each.line.label in ALARMS for each in flagged)
        wanted = sum(each.line.label in ALARMS for each in scored)
        print(f"  {threshold:5}  precision {right / len(flagged):.3f}  recall {right / wanted:.3f}")
    print("\nlearning curve: writers of each hand, same threshold rule")
    print(row("none, only the rules' lines", scored_by(fit(beside), tune), chosen.ask_from))
    for writers in CURVE:
        some = [line for line in learn if line.writer is not None and int(line.writer[1:]) <= writers]
        model = model_of(fit([*some, *beside]), cross_validated(some, beside))
        print(row(f"{writers} writers", scored_by((model.grave, model.act_now), tune), model.ask_from))


def row(name: str, scored: list[Scored], ask_from: float) -> str:
    """Return one line of figures, by label: raised by the rules, and raised or asked about."""
    parts = [f"{name:28}"]
    for label in ALARMS:
        every = [each for each in scored if each.line.label == label]
        raised = sum(each.raised in ALARMS for each in every)
        asked = sum(each.raised in ALARMS or each.grave >= ask_from for each in every)
        parts.append(f"{label} {raised} raised, {asked} raised or asked, of {len(every)};")
    calm = [each for each in scored if each.line.label == "neither"]
    needless = sum(each.raised not in ALARMS and each.grave >= ask_from for each in calm)
    parts.append(f"needless {needless} of {len(calm)} ({100 * needless / len(calm):.1f} %)")
    return " ".join(parts)


if __name__ == "__main__":
    main()
