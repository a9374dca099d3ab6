"""Where the learned reader sees more than the rules raised, the carer is asked; it raises nothing itself."""

from __future__ import annotations

from dataclasses import replace

from bot.concerns.finding import URGENCIES, Concern, Findings
from bot.concerns.learned.model import shipped_model

TOPIC = "learned"  # of a concern that no rule names


def with_question(findings: Findings, text: str) -> Findings:
    """Return what the rules found, with `unclear` set where the learned reader flags more than they raised or asked about."""
    held = [found.urgency for found in (findings.concern, findings.unclear) if found is not None]
    if "act_now" in held:
        return findings
    flagged = shipped_model().flags(text)
    if flagged is None or any(URGENCIES.index(urgency) <= URGENCIES.index(flagged) for urgency in held):
        return findings
    topics = findings.unclear.topics if findings.unclear else ()
    return replace(findings, unclear=Concern(flagged, (TOPIC, *topics)))
