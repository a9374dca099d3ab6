"""The caseload in chat: families by need, found by name, and the card of one family."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Literal

from bot.conversation.carer import asking
from bot.conversation.desk import Desk
from bot.conversation.incoming import Incoming
from bot.conversation.plan.plan_in_words import plan_summary
from bot.conversation.therapist import covering, settling, therapist_words
from bot.conversation.therapist.own_families import ref_of
from bot.conversation.therapist.therapist_talk import edit_pressed, family_buttons, matching, say, seen_family
from bot.conversation.therapist.therapist_words import age_shown, when_shown
from bot.digest.ranking import Ranked, ranked
from bot.digest.spans import Instants, encoded
from bot.digest.week import digest_of
from bot.digest.wording import wording_for
from bot.phrases import Words, words_for
from bot.records import audit, day, log, people, worries
from bot.records.facts import facts_between
from bot.records.people import Carer, Family, Therapist
from bot.say import Button, Buttons, row

Group = Literal["active", "paused", "discharged"]
GROUPS: tuple[Group, ...] = ("active", "paused", "discharged")
A_PAGE = 8
MOST_REASONS = 2
LAST_DAYS = timedelta(days=7)
MOMENT = timedelta(seconds=1)  # a period's end is not in it, and what was said this instant must be
LONGEST_QUERY = 40  # bytes of a search that fit into a button's data


async def families(desk: Desk, incoming: Incoming, therapist: Therapist, wanted: str) -> None:
    """/families [words]: the families, those who need the therapist first in front; one that is meant by name, its card."""
    seen = await covering.families_seen(desk, therapist)
    words = words_for(therapist.language)
    if not seen:
        await say(desk, incoming, words("caseload.none"), (_new_family_row(words),))
        return
    found = await matching(desk, seen, wanted)
    if not found:
        await say(desk, incoming, words("therapist.none_found", name=wanted.strip()))
    elif len(found) == 1 and wanted.strip():
        await pressed_card(desk, incoming, therapist, found[0].id)
    else:
        grouped = await _grouped(desk, found)
        group = next(group for group in GROUPS if grouped[group])
        text, buttons = await _page(desk, therapist, grouped, group, 0, wanted)
        await say(desk, incoming, text, buttons)


def _new_family_row(words: Words) -> tuple[Button, ...]:
    return row(Button(words.plain("setup.new_family_button"), "newfamily"))


async def pressed_page(desk: Desk, incoming: Incoming, therapist: Therapist, argument: str) -> None:
    """Turn a page, or look at another group: "fams:GROUP:PAGE:words", changed in place."""
    group, _, rest = argument.partition(":")
    page, _, wanted = rest.partition(":")
    found = await matching(desk, await covering.families_seen(desk, therapist), wanted)
    chosen = next((known for known in GROUPS if known == group), None)
    if chosen is None or not page.isdigit() or not found:
        await say(desk, incoming, words_for(therapist.language)("edge.old_button"))
        return
    text, buttons = await _page(desk, therapist, await _grouped(desk, found), chosen, int(page), wanted)
    await edit_pressed(desk, incoming, text, buttons)


async def _grouped(desk: Desk, found: Sequence[Family]) -> dict[Group, list[Family]]:
    """Return families by state; one that waits for an answer stands with the active ones, whatever its state."""
    waiting = await worries.families_waiting(desk.conn, [family.id for family in found])
    return {
        group: [family for family in found if ("active" if family.id in waiting else family.state) == group]
        for group in GROUPS
    }


async def _page(
    desk: Desk,
    therapist: Therapist,
    grouped: dict[Group, list[Family]],
    group: Group,
    page: int,
    wanted: str,
) -> tuple[str, Buttons]:
    words = words_for(therapist.language)
    of_group = grouped[group]
    ranking = await _by_need(desk, of_group) if group == "active" else {}
    if ranking:
        of_group.sort(key=lambda family: list(ranking).index(family.id))
    else:
        of_group.sort(key=lambda family: (family.nickname.casefold(), family.id))
    pages = max(1, -(-len(of_group) // A_PAGE))
    page = min(page, pages - 1)
    shown = of_group[page * A_PAGE : (page + 1) * A_PAGE]
    lines = [words(f"caseload.title_{group}", n=len(of_group))]
    for place, family in enumerate(shown, page * A_PAGE + 1):
        lines.append(await _line(desk, therapist, family, ranking.get(family.id), place, words))
    query = wanted.strip().encode()[:LONGEST_QUERY].decode(errors="ignore")
    turning = [
        Button(words.plain(key), f"fams:{group}:{to}:{query}")
        for key, to in (("caseload.previous", page - 1), ("caseload.next", page + 1))
        if 0 <= to < pages
    ]
    others = [
        Button(words.plain(f"caseload.{other}_button", n=count), f"fams:{other}:0:{query}")
        for other in GROUPS
        if other != group and (count := len(grouped[other]))
    ]
    rows = [row(*each) for each in (turning, others) if each]
    return "\n".join(lines), (*family_buttons(shown, "fam"), *rows)


async def _by_need(desk: Desk, families: Sequence[Family]) -> dict[str, Ranked]:
    """Return the last seven days of each family, by id, the one that needs the therapist first in front."""
    digests = [
        digest_of(
            await facts_between(
                desk.conn, family, desk.now, from_at=desk.now - LAST_DAYS, to_at=desk.now + MOMENT
            )
        )
        for family in families
    ]
    return {one.family: one for one in ranked(digests)}


async def _line(
    desk: Desk, therapist: Therapist, family: Family, one: Ranked | None, place: int, words: Words
) -> str:
    if one is None and family.state == "paused":
        until = when_shown(family.paused_until, family, words) if family.paused_until else "…"
        return words("caseload.line_paused", place=place, nickname=family.nickname, until=until)
    why = ""
    if one is not None:
        wording = wording_for(
            one.digest, words, lambda activity: desk.library.name(activity, therapist.language)
        )
        why = "; ".join(wording.reason(reason) for reason in one.reasons[:MOST_REASONS])
    if family.therapist_id != therapist.id:
        keeper = await people.therapist(desk.conn, family.therapist_id)
        whose = words.plain("caseload.of", therapist=keeper.name if keeper else family.therapist_id)
        why = f"{whose} {why}".strip()
    if one is not None and family.state != "active":
        why = f"{words.plain(f'caseload.now_{family.state}')} {why}".strip()
    if not why:
        return words("caseload.line_calm", place=place, nickname=family.nickname)
    return words("caseload.line", place=place, nickname=family.nickname, why=why)


# ---------------------------------------------------------------- one family


async def pressed_card(desk: Desk, incoming: Incoming, therapist: Therapist, argument: str) -> None:
    """Show a family's card: age, plan, carers and their state, last word, what is open, and what can be done."""
    family = await seen_family(desk, incoming, therapist, argument)
    if family is None:
        return
    words = words_for(therapist.language)
    text = await card_text(desk, family, therapist)
    open_ones = len(await worries.open_concerns(desk.conn, family.id)) + len(
        await worries.open_questions(desk.conn, family.id)
    )
    own = family.therapist_id == therapist.id
    buttons = _card_buttons(desk, family, words, open_ones, own=own)
    await say(desk, incoming, text, buttons, about=f"family:{family.id}/")
    await audit.note(
        desk.conn, who=f"therapist:{therapist.id}", what="card seen", now=desk.now, family_id=family.id
    )


def _card_buttons(desk: Desk, family: Family, words: Words, open_ones: int, *, own: bool) -> Buttons:
    week = Button(words.plain("caseload.week_button"), week_data(desk, family.id))
    plan = Button(words.plain("caseload.plan_button"), f"planshow:{family.id}")
    write = Button(words.plain("caseload.write_button"), f"write:{family.id}")
    invite = Button(words.plain("caseload.invite_button"), f"invite:{family.id}")
    seen = Button(words.plain("caseload.audit_button"), f"audit:{family.id}")
    first = (
        (row(Button(words.plain("caseload.open_button", n=open_ones), f"open:{family.id}")),)
        if open_ones
        else ()
    )
    if family.state == "discharged":
        back = (row(Button(words.plain("discharge.back_button"), f"disback:{family.id}")),) if own else ()
        return (*first, row(week, plan), row(seen), *back)
    rest = (
        (
            row(
                Button(words.plain("caseload.handover_button"), f"handover:{family.id}"),
                Button(words.plain("discharge.button"), f"dis:{family.id}"),
            ),
        )
        if own
        else ()
    )
    return (*first, row(week, plan), row(write, invite), row(seen), *rest)


def week_data(desk: Desk, family_id: str) -> str:
    """Return the data of a button that shows a family's last seven days."""
    return f"page:{encoded(Instants(desk.now - LAST_DAYS, desk.now))}:{ref_of(family_id)}"


async def card_text(desk: Desk, family: Family, therapist: Therapist) -> str:
    words = words_for(therapist.language)
    version = await day.plan_of(desk.conn, family.id)
    lines = [words(f"caseload.card_{family.state}", nickname=family.nickname)]
    if family.state == "paused" and family.paused_until is not None:
        lines.append(words("caseload.paused_until", until=when_shown(family.paused_until, family, words)))
    if version is not None:
        side = words.plain(f"digest.weak_side_{version.plan.baby.affected_side}")
        age = age_shown(version.plan.baby, desk.now, family, words)
        lines.append(words("caseload.age", age=age, side=side))

        def name_of(activity: str) -> str:
            return desk.library.name(activity, therapist.language)

        summary = plan_summary(version.plan, words, name_of)
        lines.append(words("caseload.plan", n=version.version, summary=summary))
    lines.append("")
    lines += [_carer_line(carer, desk.now, words) for carer in await people.carers_of(desk.conn, family.id)]
    last = await log.last_word(desk.conn, family.id)
    if last is None:
        lines.append(words("caseload.no_word"))
    else:
        when = when_shown(last.at, family, words)
        carer = await people.carer(desk.conn, family.id, last.carer_id or "")
        lines.append(words("caseload.last_word", when=when, carer=carer.name if carer else "…"))
    concerns = await worries.open_concerns(desk.conn, family.id)
    questions = await worries.open_questions(desk.conn, family.id)
    if concerns or questions:
        lines.append(words("caseload.open", concerns=len(concerns), questions=len(questions)))
    else:
        lines.append(words("caseload.nothing_open"))
    return "\n".join(lines)


def _carer_line(carer: Carer, now: datetime, words: Words) -> str:
    """Return a carer and how they stand: reminders or none, not joined yet, cannot be reached, left."""
    state: str = carer.state
    if state == "active":
        resting = carer.off_duty_until is not None and carer.off_duty_until > now
        reminded = "reminders" if carer.gets_prompts else "no_reminders"
        state = "blocked" if carer.blocked else "off_duty" if resting else reminded
    return words("caseload.carer", carer=carer.name, state=words.plain(f"caseload.carer_{state}"))


async def pressed_open(desk: Desk, incoming: Incoming, therapist: Therapist, argument: str) -> None:
    """Show everything open of a family once more, each to be answered under its own message."""
    family = await seen_family(desk, incoming, therapist, argument)
    if family is None:
        return
    words = words_for(therapist.language)
    for concern in await worries.open_concerns(desk.conn, family.id):
        text = await therapist_words.concern_text(desk, concern, family, words)
        await say(desk, incoming, text, settling.alert_buttons(concern, words), about=concern.about)
    for question in await worries.open_questions(desk.conn, family.id):
        text = await therapist_words.question_text(desk, question, family, words)
        await say(desk, incoming, text, asking.answer_buttons(question, words), about=question.about)
    await audit.note(
        desk.conn, who=f"therapist:{therapist.id}", what="open ones seen", now=desk.now, family_id=family.id
    )
