"""The hazard log: every row that names a control names a test that is there."""

from __future__ import annotations

import re
from pathlib import Path

ROOT = Path(__file__).parents[2]
LOG = (ROOT / "bot/concerns/HAZARDS.md").read_text(encoding="utf-8")
ROWS = [line for line in LOG.splitlines() if re.match(r"\| H\d+ ", line)]


def test_every_test_that_the_log_names_is_there() -> None:
    named = set(re.findall(r"`(tests/[^`]+)`", LOG))

    assert named
    assert not [name for name in named if not (ROOT / name).is_file()]


def test_every_hazard_has_a_test_or_says_that_it_is_not_controlled() -> None:
    assert len(ROWS) > 10
    assert not [row for row in ROWS if "`tests/" not in row and "not controlled yet" not in row]
