"""Refresher cards: an activity explained again, as message text (HTML, only <b> and <i>)."""

from __future__ import annotations

import html
from collections.abc import Iterable
from typing import Literal

from babel.dates import format_date

from bot.activities.schema import Activity, Review, Sources, placeholders_of
from bot.activities.sides import filled, side_words, unsaid_sides
from bot.phrases import Words, words_for
from scheduling.sides import AffectedSide, Side


def refresher_card(
    activity: Activity,
    *,
    language: str,
    nickname: str,
    affected_side: AffectedSide,
    side: Side | None,
    after_feed: int | None = None,
) -> str:
    """Return the whole card: what for, set up, steps, hands, what to watch, stop signs, an easier way, the therapist first.

    after_feed: the minutes that the plan leaves after a feed, where it leaves any. Fits one message of 4096
    characters for every activity of the schema and a nickname of up to 40. The first lines name the activity and
    what it is for, nothing about the baby's health: they may show on a lock screen.
    """
    card = _Card(activity, language, nickname, affected_side, side)
    return "\n\n".join(
        [
            f"{card.title()}\n{card.lines(card.text.purpose)[0]}",
            card.list("card.set_up", *card.text.set_up, *card.after_feed(after_feed)),
            card.steps(),
            card.list("card.hands", *card.text.hands, *card.both_arms()),
            card.list("card.watch_for", *card.text.watch_for),
            f"{card.stop()}\n<i>{card.said('card.emergency')}</i>",
            f"{card.heading('card.easier')}\n{card.lines(card.text.easier)[0]}",
            card.therapist_first(),
        ]
    )


def short_card(
    activity: Activity,
    *,
    language: str,
    nickname: str,
    affected_side: AffectedSide,
    side: Side | None,
    after_feed: int | None = None,
) -> str:
    """Return what a carer with one hand free reads first: where the side goes, three steps, every stop sign.

    Under 450 characters for the activities of our library. after_feed: as for refresher_card.
    """
    card = _Card(activity, language, nickname, affected_side, side)
    what = card.text.side_means if card.names_a_side(card.text.side_means) else card.text.purpose
    numbered = [f"{n}. {line}" for n, line in enumerate(card.lines(*card.text.brief), start=1)]
    return "\n\n".join(
        [
            "\n".join([card.title(), *card.lines(what), *card.after_feed(after_feed)]),
            "\n".join(numbered),
            f"{card.stop()}\n<i>{card.said('card.emergency_short')}</i>",
        ]
    )


def part_card(
    activity: Activity,
    part: Literal["hands", "side"],
    *,
    language: str,
    nickname: str,
    affected_side: AffectedSide,
    side: Side | None,
    after_feed: int | None = None,
) -> str:
    """Return one part of a card, and its stop signs: where the hands go, or what the side means. after_feed: not said."""
    del after_feed
    card = _Card(activity, language, nickname, affected_side, side)
    if part == "hands":
        said = card.list("card.hands", *card.text.hands, *card.both_arms())
    else:
        said = card.list("card.side_means", card.text.side_means)
    return "\n\n".join([card.title(), said, f"{card.stop()}\n<i>{card.said('card.emergency_short')}</i>"])


def therapist_card(
    activity: Activity, *, language: str, nickname: str, affected_side: AffectedSide, side: Side | None
) -> str:
    """Return what a therapist weighs before choosing an activity: when it fits, what the side means, the usual
    mistakes, when to stop, a harder way, where each group of facts comes from, and who reviewed the text. Fits one
    message.
    """
    card = _Card(activity, language, nickname, affected_side, side)
    return "\n\n".join(
        [
            card.title(),
            card.list("card.waits_for", card.text.waits_for),
            card.list("card.side_means", card.text.side_means),
            card.list("card.mistakes", *card.text.mistakes),
            card.stop(),
            card.list("card.harder", card.text.harder),
            card.sources(activity.sources),
            review_line(activity.review, card.words),
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
        self.words: Words = words_for(language)
        self._both = affected_side == "both"
        self._unsaid = unsaid_sides(affected_side, side)
        self._nickname = nickname
        plain = side_words(activity, language=language, affected_side=affected_side, side=side)
        self._values = {
            name: html.escape(value, quote=False) for name, value in (plain | {"nickname": nickname}).items()
        }

    def title(self) -> str:
        return self.words("card.title", activity=self.text.name, nickname=self._nickname)

    def said(self, key: str, **values: object) -> str:
        return self.words(key, **values)

    def heading(self, key: str) -> str:
        return f"<b>{self.words(key)}</b>"

    def lines(self, *templates: str) -> list[str]:
        return filled((html.escape(template, quote=False) for template in templates), self._values)

    def list(self, key: str, *templates: str) -> str:
        return "\n".join([self.heading(key), *(f"• {line}" for line in self.lines(*templates))])

    def steps(self) -> str:
        numbered = (f"{n}. {line}" for n, line in enumerate(self.lines(*self.text.steps), start=1))
        return "\n".join([self.heading("card.steps"), *numbered])

    def stop(self) -> str:
        return self.list("card.stop", *self.text.stop_signs)

    def after_feed(self, minutes: int | None) -> tuple[str, ...]:
        return (self.said("card.after_feed", minutes=minutes),) if minutes else ()

    def names_a_side(self, template: str) -> bool:
        """Return whether every side of a line reads as plain left or right, so that it may show on a lock screen."""
        return not self._unsaid & set(placeholders_of(template))

    def therapist_first(self) -> str:
        return f"<i>{self.words('card.therapist_first')}</i>"

    def both_arms(self) -> tuple[str, ...]:
        """Where both arms need care, "the weaker arm" must not read as leave for the other."""
        return (self.words.plain("card.both_arms"),) if self._both else ()

    def sources(self, sources: Sources) -> str:
        said = [
            self.words("card.source_purpose", source=sources.purpose),
            self.words("card.source_ages", source=sources.ages),
            self.words("card.source_handling", source=sources.handling),
            self.words("card.source_stop", source=sources.stop_signs),
        ]
        return "\n".join([self.heading("card.sources"), *(f"• {line}" for line in said)])


def review_line(review: Review, words: Words) -> str:
    """Return on what date a licensed therapist reviewed an activity's text, or that none has (message text)."""
    if review.on is None:
        return words("card.not_reviewed")
    return words("card.reviewed", by=review.by, on=_day(review, words))


def reviews_of(activities: Iterable[Activity], words: Words) -> str:
    """Return, in one line, which of some activities a licensed therapist has reviewed, each with its date (message text)."""
    dated = [
        f"{each.text(words.language).name} ({_day(each.review, words)})"
        for each in activities
        if each.review.on is not None
    ]
    return words("card.reviewed_ones", activities=", ".join(dated)) if dated else words("card.reviewed_none")


def _day(review: Review, words: Words) -> str:
    return format_date(review.on, words.plain("format.date"), locale=words.locale)
