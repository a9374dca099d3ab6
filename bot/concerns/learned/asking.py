"""Where rules and learned reader part: what neither is sure of is asked about. The learned reader raises nothing alone."""

from __future__ import annotations

from dataclasses import replace

from bot.concerns.finding import LEARNED, URGENCIES, Concern, Findings
from bot.concerns.learned.model import Judgement

_FOR_THE_THERAPIST = Concern("tell_therapist", (LEARNED,))


def with_question(findings: Findings, judged: Judgement) -> Findings:
    """Return what the rules found, weighed against the learned reader.

    Where a table says how urgent all of it is, that stands. Signs told by concept alone, and wordings that say something else as often, are raised where it agrees. An alarm in a
    message that it takes for calm is asked about before it is one, however calm; the therapist alone reads it where the calmest of all has words
    that explain it too. What it flags beyond all that is asked about.
    """
    if findings.exact:
        return findings
    if judged.sure and findings.hinted is not None:
        findings = replace(findings, concern=_both(findings.concern, findings.hinted))
    elif judged.calm and _is_alarm(findings.concern):
        if judged.calmest and findings.explained:
            return replace(findings, concern=_FOR_THE_THERAPIST)
        return replace(findings, concern=None, unclear=findings.concern)
    held = [found.urgency for found in (findings.concern, findings.unclear) if found is not None]
    if not judged.flagged:
        return findings
    if any(URGENCIES.index(urgency) <= URGENCIES.index(judged.urgency) for urgency in held):
        return findings
    topics = findings.unclear.topics if findings.unclear else ()
    return replace(findings, unclear=Concern(judged.urgency, (LEARNED, *topics)))


def _both(raised: Concern | None, hinted: Concern) -> Concern:
    """Return two concerns as one, the more urgent's signs first."""
    if raised is None:
        return hinted
    first, second = sorted((raised, hinted), key=lambda each: URGENCIES.index(each.urgency))
    return Concern(first.urgency, first.topics + second.topics)


def _is_alarm(raised: Concern | None) -> bool:
    return raised is not None and raised.urgency != "tell_therapist"
