"""A family's figures as lines of text, section by section, for message, terminal, visit note and document."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from bot.concerns.finding import URGENCIES
from bot.digest.activity_figures import ActivityFigures
from bot.digest.facts import ConcernFact, PlanChangeFact, QuestionFact
from bot.digest.figures import FamilyDigest
from bot.digest.prone import AWAKE_SHARE_AIM, WHO_FLOOR_MINUTES
from bot.digest.suggestions import suggestions_for
from bot.digest.wording import Wording

TOLERANCE = frozenset({"tolerated_well", "tolerated_poorly", "fell_asleep"})


@dataclass(frozen=True, slots=True)
class Section:
    """A heading and its lines, plain text. A section without lines is not shown."""

    head: str
    lines: tuple[str, ...]


def figure_sections(digest: FamilyDigest, wording: Wording) -> list[Section]:
    """Return what fits a phone screen: everything but the carers' own words."""
    say = wording.words.plain
    known_only = digest.days_with_word < len(digest.days)
    minutes_head = say("digest.minutes_head_known") if known_only else say("digest.minutes_head")
    minutes = tuple(activity_line(a, wording) for a in digest.activities)
    if not digest.days_with_word:
        minutes = (say("digest.unknown"),)
    sections = [
        Section(minutes_head, minutes),
        Section(say("digest.goals_head"), goal_lines(digest, wording)),
        Section(say("digest.prone_head"), prone_lines(digest, wording)),
        Section(say("digest.seen_head"), seen_line(digest, wording, taken=False)),
        Section(say("digest.taken_head"), seen_line(digest, wording, taken=True)),
        Section(say("digest.confidence_head"), confidence_line(digest, wording)),
        Section(say("digest.prompts_head"), prompt_lines(digest, wording)),
        Section(say("digest.carers_head"), carer_line(digest, wording)),
    ]
    return [section for section in sections if section.lines]


def suggestion_section(digest: FamilyDigest, wording: Wording) -> list[Section]:
    lines = tuple(f"• {wording.suggestion(s)}" for s in suggestions_for(digest))
    return [Section(wording.words.plain("digest.suggestions_head"), lines)] if lines else []


def word_sections(digest: FamilyDigest, wording: Wording) -> list[Section]:
    """Return every concern, question, unread text, plan change and note, whole, the most urgent first."""
    say = wording.words.plain
    sections = [
        Section(say("digest.concerns_head"), concern_lines(digest, wording)),
        Section(say("digest.questions_head"), question_lines(digest, wording)),
        Section(
            say("digest.unread_head"),
            tuple(
                say("digest.said", at=wording.time(u.at), carer=u.carer, text=u.text) for u in digest.unread
            ),
        ),
        Section(
            say("digest.changes_head"),
            tuple(
                say("digest.change_line", at=wording.time(p.at), version=p.version, text=_changed(p, wording))
                for p in digest.plan_changes
            ),
        ),
        Section(
            say("digest.notes_head"),
            tuple(say("digest.note_line", at=wording.time(n.at), text=wording.note(n)) for n in digest.notes),
        ),
    ]
    return [section for section in sections if section.lines]


def concern_lines(digest: FamilyDigest, wording: Wording) -> tuple[str, ...]:
    """Return every concern in the carer's words, the most urgent first."""
    concerns = sorted(digest.concerns, key=lambda c: (URGENCIES.index(c.urgency), c.at))
    return tuple(
        f"[{wording.urgency(c.urgency)}] {_said(c, wording)} ({_concern_state(c, wording)})" for c in concerns
    )


def question_lines(digest: FamilyDigest, wording: Wording) -> tuple[str, ...]:
    """Return every question in the carer's words, and what a photo or video shows that came as one."""
    say = wording.words.plain
    lines = []
    for question in digest.questions:
        said = _said(question, wording)
        if question.shows:
            hold = (
                say("digest.some_hold") if question.activity is None else wording.name_of(question.activity)
            )
            key = "digest.file_with_words" if question.text else "digest.file"
            said = say(key, at=wording.time(question.at), carer=question.carer, hold=hold, text=question.text)
        lines.append(f"{said} ({_answer_state(question, say('digest.not_answered'), wording)})")
    return tuple(lines)


def _changed(fact: PlanChangeFact, wording: Wording) -> str:
    """Return what changed, then what the maker noted."""
    told = "; ".join(wording.plan_change(change) for change in fact.changes)
    return ". ".join(part.rstrip(".") for part in (told, fact.text) if part) + "."


def _said(fact: ConcernFact | QuestionFact, wording: Wording) -> str:
    return wording.words.plain("digest.said", at=wording.time(fact.at), carer=fact.carer, text=fact.text)


def _concern_state(concern: ConcernFact, wording: Wording) -> str:
    if concern.wrong:
        return wording.words.plain("digest.found_none")
    waiting = "digest.seen_not_answered" if concern.seen else "digest.not_seen"
    return _answer_state(concern, wording.words.plain(waiting), wording)


def _answer_state(fact: ConcernFact | QuestionFact, waiting: str, wording: Wording) -> str:
    if fact.answered_at is None:
        return waiting
    return wording.words.plain("digest.answered", at=wording.time(fact.answered_at))


def activity_line(figures: ActivityFigures, wording: Wording) -> str:
    """Return "Side lying 29/60 · L 14 R 15 · 7.2 (14.3)": done and asked, sides, minutes a day, and before."""
    say, minutes = wording.words.plain, wording.minutes
    name = wording.name_of(figures.activity)
    if figures.counts_times:
        parts = [f"{name} {done_of_asked(figures, wording)}"]
        if figures.sessions and figures.wants_sides:
            parts.append(_sides(figures, wording, "_short"))
        return " · ".join(parts)
    if figures.minutes is None or figures.known_target is None:
        parts = [f"{name} {done_of_asked(figures, wording)}"]
    else:
        done, asked = minutes(figures.minutes), minutes(figures.known_target)
        parts = [f"{name} {say('digest.minutes_short', minutes=done, target=asked)}"]
    if figures.minutes is not None and figures.wants_sides:
        parts.append(_sides(figures, wording, "_short"))
    if figures.pace and figures.previous_pace:
        now, before = figures.pace.a_day, figures.previous_pace.a_day
        parts.append(say("digest.change", now=minutes(now), before=minutes(before)))
    elif figures.pace:
        parts.append(minutes(figures.pace.a_day))
    if figures.without_minutes:
        parts.append(say("digest.lengths_missing", n=figures.without_minutes))
    return " · ".join(parts)


def done_of_asked(figures: ActivityFigures, wording: Wording) -> str:
    """Return the minutes (or times) beside what the plan asked on the same days; what is unknown as unknown."""
    say, minutes = wording.words.plain, wording.minutes
    if figures.counts_times:
        if figures.sessions is None or figures.known_times is None:
            return say("digest.unknown")
        return say("digest.times_of", n=figures.sessions, target=minutes(figures.known_times))
    if figures.minutes is None:
        return say("digest.unknown")
    if figures.known_target is None:
        return say("digest.minutes_only", minutes=minutes(figures.minutes))
    return say("digest.minutes_of", minutes=minutes(figures.minutes), target=minutes(figures.known_target))


def sides_told(figures: ActivityFigures, wording: Wording) -> str:
    """Return "left 40, right 56", and what was told without a side where there is any."""
    return _sides(figures, wording, "")


def _sides(figures: ActivityFigures, wording: Wording, form: str) -> str:
    say, minutes = wording.words.plain, wording.minutes
    left, right, unsided = (minutes(m or 0.0) for m in figures.by_side)
    if figures.by_side[2]:
        return say(f"digest.sides_unsided{form}", left=left, right=right, unsided=unsided)
    return say(f"digest.sides{form}", left=left, right=right)


def goal_lines(digest: FamilyDigest, wording: Wording) -> tuple[str, ...]:
    """Return "On the tummy: 62 of 90 min: firm surface 30, lap 22" for each goal of which a day is known."""
    say, minutes = wording.words.plain, wording.minutes
    lines = []
    for goal in digest.goals:
        if goal.done is None:
            continue
        key = "digest.goal_times" if goal.times else "digest.goal_minutes"
        line = say(key, goal=goal.goal, done=minutes(goal.done), target=minutes(goal.target))
        parts = ", ".join(f"{wording.name_of(activity)} {minutes(done)}" for activity, done in goal.parts)
        lines.append(f"{line}: {parts}" if parts else line)
    return tuple(lines)


def prone_lines(digest: FamilyDigest, wording: Wording) -> tuple[str, ...]:
    say, prone = wording.words.plain, digest.prone
    if prone.minutes is None:
        return (say("digest.unknown"),)
    lines = []
    if prone.share is not None:
        aim = wording.share(AWAKE_SHARE_AIM)
        share = wording.share(prone.share)
        if prone.previous_share is None:
            lines.append(say("digest.prone_share", share=share, aim=aim))
        else:
            before = wording.share(prone.previous_share)
            lines.append(say("digest.prone_share_before", share=share, aim=aim, before=before))
    floor = wording.minutes(WHO_FLOOR_MINUTES)
    lines.append(say("digest.prone_floor", floor=floor, n=prone.days_at_floor, days=prone.days))
    return ("; ".join(lines),)


def seen_line(digest: FamilyDigest, wording: Wording, *, taken: bool) -> tuple[str, ...]:
    """Return one line of what the baby did, or with taken of how it was taken; none where nothing was told."""
    told = [wording.observation(o) for o in digest.observations if (o.kind in TOLERANCE) == taken]
    return (", ".join(told),) if told else ()


def confidence_line(digest: FamilyDigest, wording: Wording) -> tuple[str, ...]:
    say, number = wording.words.plain, wording.figure
    parts = [
        say("digest.confidence_line", activity=wording.name_of(c.activity), latest=number(c.latest))
        if c.previous is None
        else say(
            "digest.confidence_line_before",
            activity=wording.name_of(c.activity),
            latest=number(c.latest),
            previous=number(c.previous),
        )
        for c in digest.confidence
    ]
    return (", ".join(parts),) if parts else ()


def prompt_lines(digest: FamilyDigest, wording: Wording) -> tuple[str, ...]:
    say, counts = wording.words.plain, digest.prompts
    if not counts.sent:
        return (say("digest.no_prompts"),)
    line = say(
        "digest.prompts_line",
        sent=counts.sent,
        answered=counts.answered,
        skipped=counts.skipped,
        later=counts.later,
        expired=counts.expired,
    )
    reasons = ", ".join(f"{say(f'digest.skip_{reason}')} {n}" for reason, n in digest.skips)
    return (f"{line} ({reasons})",) if reasons else (line,)


def carer_line(digest: FamilyDigest, wording: Wording) -> tuple[str, ...]:
    say = wording.words.plain
    parts = [
        say("digest.carer_minutes", carer=c.carer, minutes=wording.minutes(c.minutes))
        if c.minutes is not None
        else say("digest.carer_times", carer=c.carer, n=c.entries)
        if c.entries
        else say("digest.carer_none", carer=c.carer)
        for c in digest.carers
    ]
    return (", ".join(parts),) if parts else ()


def rendered(
    sections: Sequence[Section], *, head: Callable[[str], str], line: Callable[[str], str]
) -> list[str]:
    """Return the sections as text lines; a section of one line stands beside its heading."""
    out: list[str] = []
    for section in sections:
        if len(section.lines) == 1 and not section.lines[0].startswith(("•", "[")):
            out.append(f"{head(section.head)}: {line(section.lines[0]).lstrip()}")
        else:
            out.append(head(section.head))
            out.extend(line(text) for text in section.lines)
    return out
