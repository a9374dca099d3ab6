"""A few seeded families with a drifting day: learning helps, and leaves alone what did not change."""

from __future__ import annotations

from datetime import timedelta

from tests.scheduling.learned.simulated_families import FIRST, family_of, figures, live

FAMILIES = [family_of(seed) for seed in range(8)]


def test_learning_lessens_ill_timed_reminders_and_asks_seldom() -> None:
    learned = [live(family, learning=True) for family in FAMILIES]
    static = [live(family, learning=False) for family in FAMILIES]
    with_, without = figures(learned), figures(static)

    assert with_.ill_timed <= 0.52 * without.ill_timed
    assert with_.taken_up >= without.taken_up + 0.1
    assert with_.gap >= 0.65 * without.gap
    assert with_.wrong_minutes <= without.wrong_minutes
    for each in learned:
        dates = [FIRST + timedelta(days=ahead) for ahead, _ in each.suggestions]
        assert all(sum(0 <= (day - other).days < 7 for other in dates) <= 2 for day in dates)
        assert each.family.changes or len(each.refused) <= 2
