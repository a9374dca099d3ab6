"""What a family may look at: today, their week, help, and the way out."""

from __future__ import annotations

from bot.conversation.carer import load
from bot.conversation.carer.roles import is_day_care
from bot.conversation.desk import Talk
from bot.conversation.shown import clock_shown, day_shown, minutes_shown
from bot.digest.family_picture import family_week_picture
from bot.digest.week import digest_of
from bot.phrases import Verbatim, words_for
from bot.phrases.because import because_in_words
from bot.records import day, log, people
from bot.records.day import Reminder
from bot.records.facts import facts_of
from bot.say import Attachment, Button, row
from scheduling.reasons import Because


async def today(talk: Talk) -> None:
    """Say what was done so far, what is still to come and why, and what holds reminders back."""
    version = await talk.plan()
    reminders = [
        each
        for each in await day.reminders_on(talk.conn, talk.family.id, talk.today)
        if each.state == "planned" and each.due_at > talk.now
    ]
    lines = [talk.words("today.title", nickname=version.plan.baby.nickname), *await _done_so_far(talk)]
    held = _held_back(talk)
    if held:
        lines.append(held)
    elif not reminders:
        lines.append(talk.words("today.nothing"))
    lines += [_line(talk, each) for each in reminders]
    await talk.answer("\n".join(lines))


def _line(talk: Talk, reminder: Reminder) -> str:
    line = talk.words(
        "today.line",
        time=clock_shown(talk.family, reminder.due_at, talk.words),
        activity=talk.activity_name(reminder.activity),
        minutes=minutes_shown(reminder.minutes),
    )
    if reminder.side:
        line = talk.words("today.line_sided", line=Verbatim(line), side=talk.side_name(reminder.side))
    if reminder.because:
        line += "\n" + talk.words("today.why", why=because_in_words(Because(**reminder.because), talk.words))
    return line


async def _done_so_far(talk: Talk) -> list[str]:
    minutes: dict[str, float] = {}
    for session in await log.counted_between(talk.conn, talk.family.id, talk.today, talk.today):
        if session.activity is not None and session.minutes:
            minutes[session.activity] = minutes.get(session.activity, 0) + session.minutes
    done = [
        talk.words.plain(
            "count.minutes_of", minutes=minutes_shown(total), activity=talk.activity_name(activity)
        )
        for activity, total in minutes.items()
    ]
    return [talk.words("myday.so_far", what="; ".join(done))] if done else []


def _held_back(talk: Talk) -> str | None:
    """Say what keeps reminders back now, and until when; None where nothing does."""
    family, words = talk.family, talk.words
    if family.state == "paused":
        if family.paused_until is None:
            return words("myday.paused_open")
        return words("myday.paused", day=day_shown(family.local(family.paused_until).date(), words))
    if family.asleep_until is not None and family.asleep_until > talk.now:
        time = clock_shown(family, family.asleep_until, words)
        return words("myday.asleep", nickname=family.nickname, time=time)
    return None


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
            nickname=talk.family.nickname,
            emergency_line=talk.desk.clinic.emergency_line,
            nurse_line=talk.desk.clinic.nurse_line,
        ),
        buttons=load.load_buttons(talk),
    )


async def stop_offered(talk: Talk) -> None:
    """Reminders stop at once; leaving altogether is one more tap."""
    await people.change_carer(talk.conn, talk.carer, gets_prompts=False)
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


async def pressed_leave(talk: Talk, argument: str) -> None:
    await talk.note()
    await leave(talk)


async def leave(talk: Talk) -> None:
    """Stop at once: nothing more is sent, and what they write is no longer read. The therapist is told."""
    await talk.answer(talk.words("stop.left", therapist=(await talk.therapist()).name))
    await people.change_carer(talk.conn, talk.carer, state="left", gets_prompts=False)
    therapist = await talk.therapist()
    words = words_for(therapist.language)
    await talk.desk.tell_therapist(
        therapist, words("therapist.carer_left", carer=talk.carer.name, nickname=talk.family.nickname)
    )
