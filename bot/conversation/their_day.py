"""What a family may look at: today, their week, help, and the way out."""

from __future__ import annotations

from bot.conversation import pausing
from bot.conversation.counting import minutes_shown
from bot.conversation.desk import Talk
from bot.conversation.roles import is_day_care
from bot.digest.family_picture import family_week_picture
from bot.digest.week import digest_of
from bot.phrases import Verbatim
from bot.phrases.because import because_in_words
from bot.records import day, people
from bot.records.facts import facts_of
from bot.say import Attachment, Button, row
from scheduling.reasons import Because


async def today(talk: Talk) -> None:
    """Say what is still to come today, and why."""
    version = await talk.plan()
    reminders = [
        each
        for each in await day.reminders_on(talk.conn, talk.family.id, talk.today)
        if each.state == "planned" and each.due_at > talk.now
    ]
    lines = [talk.words("today.title", nickname=version.plan.baby.nickname)]
    if not reminders:
        lines.append(talk.words("today.nothing"))
    for each in reminders:
        line = talk.words(
            "today.line",
            time=pausing.clock_shown(talk.family, each.due_at, talk.words),
            activity=talk.activity_name(each.activity),
            minutes=minutes_shown(each.minutes),
        )
        if each.side:
            line = talk.words("today.line_sided", line=Verbatim(line), side=talk.side_name(each.side))
        if each.because:
            line += "\n" + talk.words("today.why", why=because_in_words(Because(**each.because), talk.words))
        lines.append(line)
    await talk.answer("\n".join(lines))


async def week(talk: Talk) -> None:
    """Show the last seven days in a picture, without scores or blame. It is the family's own, not day care's."""
    if is_day_care(talk.carer):
        await talk.answer(talk.words("rights.week_is_the_familys"))
        return
    facts = await facts_of(talk.conn, talk.family, talk.now, last=talk.today, days=7)
    picture = family_week_picture(
        digest_of(facts),
        talk.words,
        name_of=lambda activity: talk.desk.library.name(activity, talk.carer.language),
    )
    await talk.answer(
        talk.words("week.caption", nickname=talk.family.nickname),
        attachment=Attachment("picture", "week.png", content=picture),
    )


async def help_shown(talk: Talk) -> None:
    therapist = await talk.therapist()
    await talk.answer(
        talk.words(
            "help.carer",
            therapist=therapist.name,
            emergency_line=talk.desk.clinic.emergency_line,
            nurse_line=talk.desk.clinic.nurse_line,
        )
    )


async def stop_offered(talk: Talk) -> None:
    """Reminders stop at once; leaving altogether is one more tap."""
    await people.change_carer(talk.conn, talk.carer, gets_prompts=False, on_duty_until=None)
    await talk.answer(
        talk.words("stop.reminders_off"),
        buttons=(
            row(
                Button(talk.words.plain("stop.on_again_button"), "remindersback"),
                Button(talk.words.plain("stop.leave_button"), "leave"),
            ),
        ),
    )


async def pressed_back_on(talk: Talk, argument: str) -> None:
    await people.change_carer(talk.conn, talk.carer, gets_prompts=True)
    await talk.note()
    await talk.answer(talk.words("stop.on_again"))
