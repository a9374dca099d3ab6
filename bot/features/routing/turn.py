"""One message on its way through the features, and what is known of it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

from bot.domain.ids import MessageId, OutboxId
from bot.domain.reminders import Reminder
from bot.domain.roles import is_day_care
from bot.features.context import CarerContext
from bot.features.entries import question_rules, times_rules
from bot.features.reminders.rules import is_asleep
from bot.features.routing import asides, rules, yes_no
from bot.features.routing.rules import Situation
from bot.features.state import load_state
from bot.features.threads import how_is_baby
from bot.parsing import answers
from bot.parsing.asides import Aside, aside_by_concepts, aside_in, asks_why_not, named_loosely
from bot.parsing.pausing import MINUTES_A_DAY, reads_pause
from bot.parsing.reminder_hours import HoursWish, read_hours_wish, wants_fewer_at_weekends
from bot.parsing.retraction import speaks_of_alarm
from bot.parsing.several import says_as_yesterday, several_done
from bot.replies.reader import activity_named, read_reply
from bot.replies.reading import Prompted, Reading, ReplyContext
from bot.storage.repositories.outbox import Said


@dataclass
class Turn:
    """One message on its way through the features. answer_id: the line that answered an earlier wording of it."""

    ctx: CarerContext
    message_id: MessageId
    reading: Reading
    reminder: Reminder | None
    quoted: Said | None
    answer_id: OutboxId | None = None

    @cached_property
    def alone(self) -> Reading:
        """The message read as if no reminder were open."""
        if self.reminder is None:
            return self.reading
        return read_reply(self.ctx.text, context_of(self.ctx, None))

    @cached_property
    def of_question(self) -> Reading:
        """The message read as if what was asked about last were a reminder: "half of it", "6? 7?"."""
        waiting = question_rules.waiting_for_answer(load_state(self.ctx))
        if waiting is None or waiting.activity is None:
            return self.alone
        asked = Prompted(waiting.activity, waiting.side, waiting.minutes or 0)
        return read_reply(self.ctx.text, replace(context_of(self.ctx, None), prompt=asked))

    @cached_property
    def named(self) -> str | None:
        """The activity of the plan that the message names, None where it names none."""
        named = activity_named(self.ctx.text, context_of(self.ctx, None))
        return named if named is not None and self.ctx.plan().plan.activity(named) is not None else None

    @cached_property
    def wish(self) -> answers.Wish | None:
        return answers.wish_in(self.ctx.text)

    @cached_property
    def aside(self) -> Aside | None:
        text, baby = self.ctx.text, self.ctx.family.nickname
        found = aside_in(text, (baby,))
        if found is None and self.several is None and not (self.reading.entries or self.reading.observations):
            names = (baby, self.ctx.therapist().name)
            found = aside_in(text, names) or aside_by_concepts(text, names)
        return found

    @cached_property
    def meant(self) -> str | None:
        """The activity of "the mouth one" or "what's hand to mouth", None for any other message."""
        return asides.loosely_named(self.ctx, named_loosely(self.ctx.text))

    @cached_property
    def why_not(self) -> str | None:
        """The activity of "why no tummy time?", None for any other message."""
        if not asks_why_not(self.ctx.text):
            return None
        return activity_named(self.ctx.text, context_of(self.ctx, None))

    @cached_property
    def speaks_of_alarm(self) -> bool:
        return speaks_of_alarm(self.ctx.text)

    @cached_property
    def concern_open(self) -> bool:
        """Whether a concern is open that this may be news of; not looked up for what plainly says something else."""
        may_be_news = self.speaks_of_alarm or rules.says_nothing(self.reading)
        return self.answer_id is None and may_be_news and how_is_baby.has_open(self.ctx)

    @cached_property
    def several(self) -> int | Literal["all", "yesterday"] | None:
        """How many reminders are told to be done, or that all was as yesterday."""
        return "yesterday" if says_as_yesterday(self.ctx.text) else several_done(self.ctx.text)

    @cached_property
    def pause(self) -> int | None:
        """The minutes of "quiet till tomorrow"; none where the message says when reminders may come ("none till 9")."""
        if is_day_care(self.ctx.carer):
            return None
        minutes = reads_pause(self.ctx.text, self.ctx.family.local(self.ctx.now))
        told_hours = isinstance(self.hours, HoursWish) and bool(self.hours.spans)
        if minutes and (told_hours or (minutes % MINUTES_A_DAY and self.hours is not None)):
            return None
        return minutes

    @cached_property
    def hours(self) -> HoursWish | Literal["any", "weekends"] | None:
        if is_day_care(self.ctx.carer):
            return None
        return "weekends" if wants_fewer_at_weekends(self.ctx.text) else read_hours_wish(self.ctx.text)

    @cached_property
    def yes_no(self) -> yes_no.Answered | None:
        """The question of ours that this message answers with a yes, a no or a button's own words."""
        return None if self.answer_id is not None else yes_no.answered(self.ctx)

    def situation(self) -> Situation:
        ctx = self.ctx
        return Situation(
            reading=self.reading,
            yes_no=self.yes_no is not None,
            step=ctx.dialog().step,
            quotes=self.quoted is not None,
            edited=self.answer_id is not None,
            asleep=is_asleep(ctx.family, ctx.now),
            entry_waits=question_rules.waiting_for_answer(load_state(ctx)) is not None,
            thanks=answers.pleasantry_in(ctx.text) is not None,
            awake=answers.says_awake(ctx.text),
            wish=self.wish is not None,
            most_a_day=isinstance(self.wish, int),
            aside=any(each is not None for each in (self.aside, self.why_not, self.meant)),
            hours=self.hours is not None,
            several=self.several is not None,
            pause=self.pause is not None,
            concern_open=self.concern_open,
            speaks_of_alarm=self.speaks_of_alarm,
            fixed_times=answers.wants_fixed_times(ctx.text) and not is_day_care(ctx.carer),
            older_question=answers.says_yes(ctx.text) and question_rules.no_answer_of_yes(load_state(ctx)),
        )


def context_of(ctx: CarerContext, reminder: Reminder | None) -> ReplyContext:
    plan = ctx.plan().plan
    age = (ctx.today - plan.baby.born).days // 7
    return ReplyContext(
        now=ctx.family.local(min(ctx.event.at, ctx.now)),
        language=ctx.carer.language,
        affected_side=plan.baby.affected_side,
        age_weeks=max(0, age),
        plan=tuple(each.activity for each in plan.activities),
        prompt=Prompted(reminder.activity, reminder.side, reminder.minutes) if reminder else None,
        times=times_rules.by_times(plan, ctx.family.local(min(ctx.event.at, ctx.now))),
    )


def keep_unread(turn: Turn) -> None:
    """Keep what was not understood of a message, for the therapist."""
    if turn.reading.unread:
        turn.ctx.uow.messages.set_unparsed(turn.message_id, turn.reading.unread)
