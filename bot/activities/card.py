"""Refresher cards: an activity explained again, as message text (HTML, only <b> and <i>)."""

from __future__ import annotations

import html

from babel.dates import format_date

from bot.activities.schema import Activity, Review, Sources
from bot.activities.sides import AffectedSide, Side, filled, side_words
from bot.phrases import Words, words_for


def refresher_card(
    activity: Activity, *, language: str, nickname: str, affected_side: AffectedSide, side: Side | None
) -> str:
    """Return the whole card: what for, set up, steps, hands, what to watch, stop signs, an easier way, the therapist first.

    Fits one message of 4096 characters for every activity of the schema and a nickname of up to 40. The first
    lines name the activity and what it is for, nothing about the baby's health: they may show on a lock screen.
    """
    card = _Card(activity, language, nickname, affected_side, side)
    return "\n\n".join(
        [
            f"{card.title()}\n{card.lines(card.text.purpose)[0]}",
            card.list("card.set_up", *card.text.set_up),
            card.steps(),
            card.list("card.hands", *card.text.hands, *card.both_arms()),
            card.list("card.watch_for", *card.text.watch_for),
            card.stop(),
            f"{card.heading('card.easier')}\n{card.lines(card.text.easier)[0]}",
            card.therapist_first(),
        ]
    )


def short_card(
    activity: Activity, *, language: str, nickname: str, affected_side: AffectedSide, side: Side | None
) -> str:
    """Return the steps and the stop signs alone: at most 600 characters for the activities of our library."""
    card = _Card(activity, language, nickname, affected_side, side)
    return f"{card.title()}\n\n{card.steps()}\n\n{card.stop()}"


def therapist_card(
    activity: Activity, *, language: str, nickname: str, affected_side: AffectedSide, side: Side | None
) -> str:
    """Return what a therapist weighs before choosing an activity: when it fits, what the side means, the usual
    mistakes, a harder way, where each group of facts comes from, and who reviewed the text. Fits one message.
    """
    card = _Card(activity, language, nickname, affected_side, side)
    return "\n\n".join(
        [
            card.title(),
            card.list("card.waits_for", card.text.waits_for),
            card.list("card.side_means", card.text.side_means),
            card.list("card.mistakes", *card.text.mistakes),
            card.list("card.harder", card.text.harder),
            card.sources(activity.sources),
            card.review(activity.review),
        ]
    )


class _Card:
    """The parts of a card for one baby, every value escaped."""

    def __init__(
        self,
        activity: Activity,
        language: str,
        nickname: str,
        affected_side: AffectedSide,
        side: Side | None,
    ) -> None:
        self.text = activity.text(language)
        self._words: Words = words_for(language)
        self._both = affected_side == "both"
        self._nickname = nickname
        plain = side_words(activity, language=language, affected_side=affected_side, side=side)
        self._values = {
            name: html.escape(value, quote=False) for name, value in (plain | {"nickname": nickname}).items()
        }

    def title(self) -> str:
        return self._words("card.title", activity=self.text.name, nickname=self._nickname)

    def heading(self, key: str) -> str:
        return f"<b>{self._words(key)}</b>"

    def lines(self, *templates: str) -> list[str]:
        return filled((html.escape(template, quote=False) for template in templates), self._values)

    def list(self, key: str, *templates: str) -> str:
        return "\n".join([self.heading(key), *(f"• {line}" for line in self.lines(*templates))])

    def steps(self) -> str:
        numbered = (f"{n}. {line}" for n, line in enumerate(self.lines(*self.text.steps), start=1))
        return "\n".join([self.heading("card.steps"), *numbered])

    def stop(self) -> str:
        return f"{self.list('card.stop', *self.text.stop_signs)}\n<i>{self._words('card.emergency')}</i>"

    def therapist_first(self) -> str:
        return f"<i>{self._words('card.therapist_first')}</i>"

    def both_arms(self) -> tuple[str, ...]:
        """Where both arms need care, "the weaker arm" must not read as leave for the other."""
        return (self._words.plain("card.both_arms"),) if self._both else ()

    def sources(self, sources: Sources) -> str:
        said = [
            self._words("card.source_purpose", source=sources.purpose),
            self._words("card.source_ages", source=sources.ages),
            self._words("card.source_handling", source=sources.handling),
            self._words("card.source_stop", source=sources.stop_signs),
        ]
        return "\n".join([self.heading("card.sources"), *(f"• {line}" for line in said)])

    def review(self, review: Review) -> str:
        if review.on is None:
            return self._words("card.not_reviewed")
        on = format_date(review.on, "medium", locale=self._words.language)
        return self._words("card.reviewed", by=review.by, on=on)
