"""A draft lived by invented families before a baby gets it: asked for by a button, made by the renderer, told with a picture.

Nothing of the real family is in it but the draft: it is lived in a database of its own, under another name.
"""

from __future__ import annotations

import hashlib
import html
import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from bot.activities.arm import rested
from bot.activities.library import Library
from bot.digest.wording import names_in
from bot.domain.outgoing import Attachment, Drawn, OutgoingMessage, row
from bot.domain.people import Clinic
from bot.domain.rendering import TrialRequest
from bot.features.context import Context
from bot.features.plan.buttons import back_row, button
from bot.features.plan.draft import Building
from bot.features.plan.preview import short_line
from bot.features.plan.therapist_view import NameOf
from bot.phrases import Words, words_for
from bot.rehearsal.figures import Lived, share_of_target
from bot.rehearsal.fit import Fit, Help, fit_of
from bot.rehearsal.living import Trial, living, monday_after
from bot.rehearsal.picture import picture
from scheduling.plan import document_of

# The most that a plan can bring, and what days full of other things leave of it.
KINDS = ("diligent", "chaotic")
DAYS = 14
SEED = 1
MOST_HELPS = 3
WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")


def try_out(building: Building, value: str) -> None:
    """Ask for the draft's trial, and say at once that it is being made; the same plan is not tried twice."""
    words, family, draft = building.words, building.family, building.draft
    if living() is None:
        building.say(words("trying.not_here"))
        return
    plan = document_of(draft.plan)
    chat_id, about = building.event.chat_id, building.about
    made_of = hashlib.sha256(json.dumps([str(building.today), plan]).encode()).hexdigest()[:16]
    # Said first, and in a message of its own: what is drawn holds back what stands behind it.
    making = OutgoingMessage(
        chat_id=chat_id,
        text=words("trying.making", nickname=family.nickname),
        about=about,
        key=f"trial:{draft.id}:{made_of}",
    )
    if building.context.say(making) is None:
        building.say(words("trying.same"))
        return
    wanted = TrialRequest(
        family=family.id,
        language=building.therapist.language,
        draft=draft.id,
        plan=plan,
        changed=building.changed,
        at=building.context.now,
    )
    building.context.say(OutgoingMessage(chat_id=chat_id, about=about, render=wanted))


@dataclass(frozen=True, slots=True)
class TrialWork:
    """What is lived, and for whom it is told."""

    request: TrialRequest
    nickname: str
    trial: Trial

    def draw(self, library: Library) -> tuple[Drawn, ...]:
        """Live the weeks; return the picture, then the numbers with the buttons."""
        live = living()
        words = words_for(self.request.language)
        if live is None:
            return (Drawn(words("trying.not_here")),)
        plan, first = rested(self.trial.as_plan, library), self.trial.first
        lived = [
            replace(each, title=words.plain(f"trying.kind_{each.kind}")) for each in live(self.trial, library)
        ]
        text = trial_text(lived, fit_of(plan, first), self.nickname, words, names_in(library, words.language))
        buttons = back_row(self.request.draft, words)
        if self.request.changed:
            buttons = row(*buttons, button(words.plain("plan.send_button"), self.request.draft, "send"))
        drawn = picture(plan, self.nickname, first, lived, words)
        return (
            Drawn(attachment=Attachment("picture", "trial.png", content=drawn)),
            Drawn(text, (buttons,)),
        )


def gather(context: Context, request: TrialRequest) -> TrialWork | None:
    family = context.uow.families.find(request.family)
    if family is None:
        return None
    carers = context.uow.carers.of_family(family.id)
    nobody = dict(request.plan["baby"]) | {"nickname": "Baby"}
    trial = Trial(
        clinic=_section(context.clinic),
        plan=dict(request.plan) | {"baby": nobody},
        carers=carers[0].language if carers else request.language,
        first=monday_after(family.local(request.at).date()),
        days=DAYS,
        seed=SEED,
        kinds=KINDS,
        language=request.language,
    )
    return TrialWork(request, family.nickname, trial)


def _section(clinic: Clinic) -> dict[str, Any]:
    """Return the clinic as a caseload file names it."""
    return {
        "name": clinic.name,
        "time_zone": clinic.zone.key,
        "emergency_line": clinic.emergency_line,
        "nurse_line": clinic.nurse_line,
        "crisis_line": clinic.crisis_line,
        "digest": {"weekday": WEEKDAYS[clinic.digest_weekday], "at": f"{clinic.digest_at:%H:%M}"},
    }


def trial_text(lived: Sequence[Lived], fit: Fit, nickname: str, words: Words, name_of: NameOf) -> str:
    """Return what the weeks came to, what does not fit, and what would help (message HTML)."""
    lines = [words("trying.heading", nickname=nickname), words("trying.about")]
    for each in lived:
        lines += ["", *_family_lines(each, words)]
    return "\n".join([*lines, "", *_fit_lines(fit, words, name_of)])


def _family_lines(lived: Lived, words: Words) -> Iterator[str]:
    yield words("trying.kind", kind=lived.title)
    yield words(
        "trying.numbers",
        n=f"{lived.reminders_a_day:g}",
        answered=_percent(lived.answered_share, words),
        ill=_percent(lived.ill_timed_share, words),
        share=_percent(share_of_target(lived.activities), words),
    )
    if lived.load and lived.load[-1] < lived.load[0]:
        yield words("trying.less", n=lived.load[-1])
    says = [html.escape(line, quote=False) for line in lived.digest if line.startswith("•")]
    if says:
        yield words("trying.says")
        yield from says


def _percent(share: float | None, words: Words) -> str:
    return words.plain("trying.unknown") if share is None else f"{share:.0%}"


def _fit_lines(fit: Fit, words: Words, name_of: NameOf) -> Iterator[str]:
    if not fit.short:
        yield words("trying.fits")
        return
    yield words("trying.not_fit")
    for each in fit.short:
        yield short_line(
            each.name, each.short, each.target, each.why, words, name_of, times=each.unit == "times"
        )
    if not fit.helps:
        yield words("trying.help_none")
        return
    yield words("trying.help_title")
    yield from (f"• {_help_line(each, words, name_of)}" for each in fit.helps[:MOST_HELPS])


def _help_line(each: Help, words: Words, name_of: NameOf) -> str:
    short = f"{each.short:g}"
    match each.change:
        case "most_prompts":
            return words("trying.help_most_prompts", n=each.value, short=short)
        case "shortest_gap":
            return words("trying.help_shortest_gap", n=each.value, short=short)
        case _:
            name = name_of(each.activity or "")
            return words("trying.help_longest_session", activity=name, n=each.value, short=short)
