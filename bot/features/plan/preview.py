"""What a day of a draft would look like: a picture of the week, the first day's prompts with times, and what does not fit."""

from __future__ import annotations

import html
from collections.abc import Sequence
from datetime import timedelta

from bot.domain.outgoing import Attachment, OutgoingMessage, row
from bot.features.plan.buttons import back_row, button
from bot.features.plan.draft import Building
from bot.features.plan.therapist_view import NameOf, dates_shown, day_shown
from bot.phrases import Verbatim, Words
from bot.phrases.because import why_in_words
from scheduling.plan import Plan
from scheduling.planner import DayPlan, Prompt, Target, plan_days

DAYS_DRAWN = 7


def show_day(building: Building) -> None:
    """Plan the draft's next seven days as they would come, from the family's own log, and show them."""
    from bot.digest.plan_picture import draw_plan

    plan, words = building.draft.plan, building.words
    first = building.today + timedelta(days=1)
    log = building.context.uow.reminders.planner_log(building.family, until=building.today)
    planned = plan_days(plan, first, DAYS_DRAWN, log)
    names = {each.activity: building.name_of(each.activity) for each in plan.activities}
    building.context.say(
        OutgoingMessage(
            chat_id=building.event.chat_id,
            text=words("plan.picture_caption", nickname=building.family.nickname),
            attachment=Attachment(
                "picture", "plan.png", content=draw_plan(plan, planned, words.language, names)
            ),
            about=building.about,
        )
    )
    buttons = [back_row(building.draft.id, words)]
    if building.changed:
        send = button(words.plain("plan.send_button"), building.draft.id, "send")
        buttons = [row(*buttons[0], send)]
    building.say(day_text(plan, planned, building.family.nickname, words, building.name_of), tuple(buttons))


def day_text(plan: Plan, planned: Sequence[DayPlan], nickname: str, words: Words, name_of: NameOf) -> str:
    """Return the first day's prompts with times, what does not fit into these days, and what waits (message HTML).

    What falls short on a later day alone, since more begins by then, is told with that day.
    """
    first = planned[0]
    lines = [words("plan.day_title", nickname=nickname, day=day_shown(first.date, words))]
    lines += [_prompt_line(prompt, words, name_of) for prompt in first.prompts]
    if not first.prompts:
        lines.append(words("plan.day_empty"))
    if not plan.awake:
        lines.append(words("plan_checks.no_awake"))
    told: set[str] = set()
    for planned_day in planned:
        short = [each for each in planned_day.targets if each.short > 0 and each.activity not in told]
        if short and planned_day is not first:
            lines.append(words("plan.day_later", day=day_shown(planned_day.date, words)))
        lines += [_short_line(target, words, name_of) for target in short]
        told |= {target.activity for target in short}
    if first.prompts and not told:
        lines.append(words("plan.day_fits"))
    for activity in plan.activities:
        if activity.held_on(first.date):
            dates = Verbatim(", ".join(dates_shown(activity, words)))
            lines.append(words("plan.day_held", activity=name_of(activity.activity), dates=dates))
    return "\n".join(lines)


def _prompt_line(prompt: Prompt, words: Words, name_of: NameOf) -> str:
    name = html.escape(name_of(prompt.activity), quote=False)
    at = f"{prompt.at:%H:%M}"
    if prompt.side is None:
        return words("plan.prompt", at=at, activity=Verbatim(name), minutes=prompt.minutes)
    side = words.plain(f"because.{prompt.side}")
    return words("plan.prompt_sided", at=at, activity=Verbatim(name), minutes=prompt.minutes, side=side)


def _short_line(target: Target, words: Words, name_of: NameOf) -> str:
    why = why_in_words(target.why, words) if target.why else ""
    return words(
        "plan.short",
        activity=name_of(target.activity),
        short=f"{target.short:.0f}",
        target=f"{target.target:.0f}",
        why=why,
    )
