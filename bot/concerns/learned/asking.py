"""Where the learned reader sees more than the rules raised, or far less, the carer is asked; it raises nothing itself."""

from __future__ import annotations

from dataclasses import replace

from bot.concerns.finding import URGENCIES, Concern, Findings
from bot.concerns.learned.model import Judgement

TOPIC = "learned"  # of a concern that no rule names


def with_question(findings: Findings, judged: Judgement) -> Findings:
    """Return what the rules found, with `unclear` set where the learned reader flags more than they raised or asked about.

    An alarm of the rules in a message that it takes for calm is asked about too, before it is one.
    """
    if judged.calm:
        return _doubted(findings)
    held = [found.urgency for found in (findings.concern, findings.unclear) if found is not None]
    if not judged.flagged:
        return findings
    if any(URGENCIES.index(urgency) <= URGENCIES.index(judged.urgency) for urgency in held):
        return findings
    topics = findings.unclear.topics if findings.unclear else ()
    return replace(findings, unclear=Concern(judged.urgency, (TOPIC, *topics)))


def _doubted(findings: Findings) -> Findings:
    raised = findings.concern
    if raised is None or raised.urgency == "tell_therapist":
        return findings
    return replace(findings, concern=None, unclear=raised)
