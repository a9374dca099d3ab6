"""One page of the list of families: what is read for it, and how it is written from that."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta
from zoneinfo import ZoneInfo

from bot.activities.library import Library
from bot.digest.facts import FamilyFacts
from bot.digest.ranking import Ranked, ranked
from bot.digest.week import digest_of
from bot.digest.wording import names_in, wording_for
from bot.domain.outgoing import Button, Buttons, Drawn, row
from bot.domain.people import Family
from bot.domain.rendering import FamiliesRequest
from bot.features import verbs
from bot.features.access.family_choice import family_buttons
from bot.features.caseload.rules import GROUPS
from bot.features.context import Context
from bot.features.formats import when_shown
from bot.parsing.period import Instants
from bot.phrases import Words, words_for
from bot.storage.reports.facts import facts_of_families

A_PAGE = 8
MOST_REASONS = 2
LAST_DAYS = timedelta(days=7)
MOMENT = timedelta(seconds=1)  # a period's end is not in it, and what was said this instant must be
LONGEST_QUERY = 40  # bytes of a search that fit into a button's data


@dataclass(frozen=True, slots=True)
class FamiliesWork:
    """What a page is written from. keepers: the therapists' names, by id. facts: the last days of the active families."""

    request: FamiliesRequest
    families: tuple[Family, ...]
    keepers: Mapping[str, str]
    facts: tuple[FamilyFacts, ...]
    clinic_zone: ZoneInfo

    def draw(self, library: Library) -> tuple[Drawn, ...]:
        """Return the page as one message: a line and a button a family, those who need the therapist first in front."""
        words = words_for(self.request.language)
        need = {one.family: one for one in ranked([digest_of(each) for each in self.facts])}
        families = _in_order(self.families, need)
        pages = max(1, -(-len(families) // A_PAGE))
        page = min(self.request.page, pages - 1)
        shown = families[page * A_PAGE : (page + 1) * A_PAGE]
        lines = [words(f"caseload.title_{self.request.group}", n=len(families))]
        for place, family in enumerate(shown, page * A_PAGE + 1):
            lines.append(self._line(family, need.get(family.id), place, words, library))
        turning = _turning(self.request, page, pages, words)
        return (
            Drawn(
                "\n".join(lines), (*family_buttons(shown, lambda each: verbs.CARD.data(each.id)), *turning)
            ),
        )

    def _line(self, family: Family, one: Ranked | None, place: int, words: Words, library: Library) -> str:
        if one is None and family.state == "paused":
            until = (
                when_shown(family.paused_until, family, words, self.clinic_zone)
                if family.paused_until
                else "…"
            )
            return words("caseload.line_paused", place=place, nickname=family.nickname, until=until)
        why = ""
        if one is not None:
            wording = wording_for(one.digest, words, names_in(library, words.language))
            why = "; ".join(wording.reason(reason) for reason in one.reasons[:MOST_REASONS])
        if family.therapist_id != self.request.therapist:
            keeper = self.keepers.get(family.therapist_id, family.therapist_id)
            why = f"{words.plain('caseload.of', therapist=keeper)} {why}".strip()
        if one is not None and family.state != "active":
            why = f"{words.plain(f'caseload.now_{family.state}')} {why}".strip()
        if not why:
            return words("caseload.line_calm", place=place, nickname=family.nickname)
        return words("caseload.line", place=place, nickname=family.nickname, why=why)


def gather(context: Context, request: FamiliesRequest) -> FamiliesWork:
    families = context.uow.families.of_ids(request.families)
    span = Instants(context.now - LAST_DAYS, context.now + MOMENT)
    active = families if request.group == "active" else []
    return FamiliesWork(
        request,
        tuple(families),
        {each.id: each.name for each in context.uow.therapists.all()},
        tuple(facts_of_families(context.uow, active, context.now, span)),
        context.clinic.zone,
    )


def _in_order(families: Sequence[Family], need: Mapping[str, Ranked]) -> list[Family]:
    """Return families by need where that is known, else by name."""
    if need:
        places = {family_id: place for place, family_id in enumerate(need)}
        return sorted(families, key=lambda family: places[family.id])
    return sorted(families, key=lambda family: (family.nickname.casefold(), family.id))


def _turning(request: FamiliesRequest, page: int, pages: int, words: Words) -> Buttons:
    """Return the buttons to the pages before and after, and to the other groups."""
    query = request.wanted.strip().encode()[:LONGEST_QUERY].decode(errors="ignore")
    turning = [
        Button(words.plain(key), verbs.FAMILIES.data(request.group, to, query))
        for key, to in (("caseload.previous", page - 1), ("caseload.next", page + 1))
        if 0 <= to < pages
    ]
    others = [
        Button(words.plain(f"caseload.{other}_button", n=count), verbs.FAMILIES.data(other, 0, query))
        for other in GROUPS
        if (count := request.others.get(other, 0))
    ]
    return tuple(row(*each) for each in (turning, others) if each)
