"""The page of a family's copy: what a plan asked for, in whatever unit."""

from __future__ import annotations

from typing import Any

from bot.features.privacy.export_page import SECTIONS, copy_page
from bot.phrases import words_for


def test_the_page_tells_targets_of_every_kind_and_activities_without_one() -> None:
    targets: list[dict[str, Any]] = [
        {"minutes": 40},
        {"share_of_awake": 0.5},
        {"times": 6},
        {"times": 1},
        {},
    ]
    activities = [{"activity": f"a{n}"} | ({"target": t} if t else {}) for n, t in enumerate(targets)]
    version = {"made_at": "2026-03-02T09:00:00+00:00", "version": 1, "made_by": "Robin", "note": None}
    copy: dict[str, Any] = {section: [] for section in SECTIONS} | {
        "made_at": "2026-03-02T10:00:00+00:00",
        "for": {"name": "Ana"},
        "baby": "Pip",
        "plan": [version | {"plan": {"activities": activities}}],
    }

    page = copy_page(copy, words_for("en"), str.upper)

    for line in ("A0: 40 min", "A1: 50%", "A2: 6 times a day", "A3: once a day", "A4"):
        assert line in page
