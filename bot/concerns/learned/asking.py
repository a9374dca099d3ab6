"""Where rules and learned reader part: what neither is sure of is asked about. The learned reader raises nothing alone."""

from __future__ import annotations

from dataclasses import replace

from bot.concerns.finding import URGENCIES, Concern, Findings
from bot.concerns.learned.model import Judgement
from bot.concerns.loading import shipped_rules

TOPIC = "learned"  # of a concern that no rule names


def with_question(findings: Findings, judged: Judgement) -> Findings:
    """Return what the rules found, weighed against the learned reader.

    Signs told by concept alone are raised where it agrees. An alarm in a message that it takes for calm is asked about before
    it is one; where the message looks wholly calm it is for the therapist alone. What it flags beyond all that is asked about.
    """
    if judged.sure and findings.hinted is not None:
        findings = replace(findings, concern=_both(findings.concern, findings.hinted))
    elif judged.calm:
        return _doubted(findings, judged)
    held = [found.urgency for found in (findings.concern, findings.unclear) if found is not None]
    if not judged.flagged:
        return findings
    if any(URGENCIES.index(urgency) <= URGENCIES.index(judged.urgency) for urgency in held):
        return findings
    topics = findings.unclear.topics if findings.unclear else ()
    return replace(findings, unclear=Concern(judged.urgency, (TOPIC, *topics)))


def _both(raised: Concern | None, hinted: Concern) -> Concern:
    """Return two concerns as one, the more urgent's signs first."""
    if raised is None:
        return hinted
    first, second = sorted((raised, hinted), key=lambda each: URGENCIES.index(each.urgency))
    return Concern(first.urgency, first.topics + second.topics)


def _doubted(findings: Findings, judged: Judgement) -> Findings:
    raised = findings.concern
    if raised is None or raised.urgency == "tell_therapist":
        return findings
    if judged.wholly_calm and all(_is_of_the_body(topic) for topic in raised.topics):
        return replace(findings, concern=Concern("tell_therapist", (TOPIC,)))
    return replace(findings, concern=None, unclear=raised)


def _is_of_the_body(topic: str) -> bool:
    """Whether a sign is answered by the text of its urgency: danger by people and to the carer have texts of their own."""
    return shipped_rules().advice.get(topic) in URGENCIES
