"""What a day of a draft would look like: a picture of the week, the first day's prompts with times, and what does not fit."""

from __future__ import annotations

import html
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from bot.activities.arm import rested
from bot.activities.library import Library
from bot.digest.plan_picture import draw_plan
from bot.digest.wording import names_in
from bot.domain.outgoing import Attachment, Drawn, OutgoingMessage, row
from bot.domain.rendering import PreviewRequest
from bot.features.context import Context
from bot.features.formats import place_named, short_day_shown, wall_clock_shown
from bot.features.plan.buttons import back_row, button
from bot.features.plan.draft import Building
from bot.features.plan.therapist_view import NameOf, dates_shown
from bot.phrases import Verbatim, Words, words_for
from bot.phrases.because import proof_in_words, why_in_words
from scheduling.history import LogEntry
from scheduling.plan import Plan, document_of, plan_from
from scheduling.planner import DayPlan, Prompt, plan_days
from scheduling.reasons import Why

DAYS_DRAWN = 7


def show_day(building: Building) -> None:
    """Ask for the draft's next day in words, in place of the message whose button was pressed."""
    building.render(_wanted(building, picture=False))


def show_week(building: Building) -> None:
    """Ask for a picture of the draft's next seven days, in a message of its own."""
    building.context.say(
        OutgoingMessage(
            chat_id=building.event.chat_id, about=building.about, render=_wanted(building, picture=True)
        )
    )


def _wanted(building: Building, *, picture: bool) -> PreviewRequest:
    return PreviewRequest(
        family=building.family.id,
        language=building.therapist.language,
        draft=building.draft.id,
        plan=document_of(building.draft.plan),
        changed=building.changed,
        at=building.context.now,
        picture=picture,
    )


@dataclass(frozen=True, slots=True)
class PreviewWork:
    """What the next days are planned and drawn from. first: the first of them, local."""

    request: PreviewRequest
    nickname: str
    first: date
    log: tuple[LogEntry, ...]
    clinic_zone: ZoneInfo
    now: datetime

    def draw(self, library: Library) -> tuple[Drawn, ...]:
        """Return the picture of the days, or the first day in words with the buttons."""
        plan, words = rested(plan_from(self.request.plan), library), words_for(self.request.language)
        name_of = names_in(library, self.request.language)
        planned = plan_days(plan, self.first, DAYS_DRAWN, self.log)
        if self.request.picture:
            names = {each.activity: name_of(each.activity) for each in plan.activities}
            picture = draw_plan(plan, planned, words.language, names)
            caption = words("plan.picture_caption", nickname=self.nickname)
            return (Drawn(caption, attachment=Attachment("picture", "plan.png", content=picture)),)
        number = self.request.draft
        looks = row(*back_row(number, words), button(words.plain("plan.picture_button"), number, "pic"))
        acts = row(button(words.plain("trying.button"), number, "try"))
        if self.request.changed:
            acts = row(*acts, button(words.plain("plan.send_button"), number, "send"))
        text = day_text(plan, planned, self.nickname, words, name_of)
        place = place_named(plan.time_zone, self.now, self.clinic_zone, words)
        text += "\n" + words("plan.times_of", place=place) if place else ""
        return (Drawn(text, (looks, acts)),)


def gather(context: Context, request: PreviewRequest) -> PreviewWork | None:
    family = context.uow.families.find(request.family)
    if family is None:
        return None
    today = family.local(context.now).date()
    log = context.uow.reminders.planner_log(family, until=today)
    day = today + timedelta(days=1)
    return PreviewWork(request, family.nickname, day, tuple(log), context.clinic.zone, context.now)


def day_text(plan: Plan, planned: Sequence[DayPlan], nickname: str, words: Words, name_of: NameOf) -> str:
    """Return the first day's prompts with times, what does not fit into these days, and what waits (message HTML).

    What falls short on a later day alone, since more begins by then, is told with that day.
    """
    first = planned[0]
    lines = [words("plan.day_title", nickname=nickname, day=short_day_shown(first.date, words))]
    lines += [_prompt_line(prompt, words, name_of) for prompt in first.prompts]
    if not first.prompts:
        lines.append(words("plan.day_empty"))
    if not plan.awake:
        lines.append(words("plan_checks.no_awake"))
    told: set[str] = set()
    for planned_day in planned:
        short = [
            each
            for each in (*planned_day.targets, *planned_day.goals)
            if each.short > 0 and each.name not in told
        ]
        if short and planned_day is not first:
            lines.append(words("plan.day_later", day=short_day_shown(planned_day.date, words)))
        lines += [
            short_line(each.name, each.short, each.target, each.why, words, name_of, times=bool(each.times))
            for each in short
        ]
        proof = proof_in_words(planned_day.proof, words) if short else None
        lines += [html.escape(proof, quote=False)] if proof else []
        told |= {target.name for target in short}
    if first.prompts and not told:
        lines.append(words("plan.day_fits"))
    for activity in plan.activities:
        if activity.held_on(first.date):
            dates = Verbatim(", ".join(dates_shown(activity, words)))
            lines.append(words("plan.day_held", activity=name_of(activity.activity), dates=dates))
    return "\n".join(lines)


def _prompt_line(prompt: Prompt, words: Words, name_of: NameOf) -> str:
    name = html.escape(name_of(prompt.activity), quote=False)
    at = wall_clock_shown(prompt.at.hour * 60 + prompt.at.minute)
    if prompt.side is None:
        return words("plan.prompt", at=at, activity=Verbatim(name), minutes=prompt.minutes)
    side = words.plain(f"because.{prompt.side}")
    return words("plan.prompt_sided", at=at, activity=Verbatim(name), minutes=prompt.minutes, side=side)


def short_line(
    name: str, short: float, target: float, why: Why | None, words: Words, name_of: NameOf, *, times: bool
) -> str:
    """Return what does not fit of an activity or goal, and why (message HTML). short, target: minutes or times a day."""
    return words(
        "plan.short_times" if times else "plan.short",
        activity=name_of(name),
        short=f"{short:.0f}",
        target=f"{target:.0f}",
        why=why_in_words(why, words) if why else "",
    )
