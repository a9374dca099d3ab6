"""A therapist builds a plan in chat: line by line, sees the day, is stopped where it is dangerous, and sends a new version."""

from __future__ import annotations

import copy
from datetime import date
from typing import Any

import pytest
from sqlalchemy import func, select

from bot.domain.actor import Actor
from bot.domain.ids import ChatId, FamilyId, TherapistId
from bot.domain.plans import PlanVersion
from bot.features.events import ButtonPressed
from bot.features.routing import therapist_routes
from bot.storage.tables import audit, plan_drafts, reminders
from scheduling.plan import MinutesADay
from tests.journeys.conftest import CASELOAD, House


async def versions(house: House, family_id: str = "f1") -> list[PlanVersion]:
    with house.store.read() as uow:
        return uow.plans.versions(FamilyId(family_id))


async def write(house: House, text: str) -> str:
    house.robin.say(text)
    await house.settle()
    return house.last(house.robin).text


async def press(house: House, end: str) -> str:
    """Press the button whose data ends so, on the latest message that has one; return what stands there then."""
    found = [
        (message, button)
        for message in reversed(house.heard(house.robin))
        for line in message.buttons
        for button in line
        if button.data and button.data.endswith(end)
    ]
    message, button = found[0]
    house.robin.press(data=button.data, message_id=message.message_id)
    await house.settle()
    edited = house.robin.message(message.message_id)
    return edited.text if edited.text != message.text else house.last(house.robin).text


async def press_sure(house: House) -> str:
    sure = [
        button.data
        for message in reversed(house.heard(house.robin))
        for line in message.buttons
        for button in line
        if button.data and ":sure:" in button.data
    ]
    return await press(house, sure[0])


async def test_one_family_opens_at_once_and_its_plan_stands_there_as_it_is(house: House) -> None:
    shown = await write(house, "/plan")

    assert "Plan for Pip, version 1, in force" in shown
    assert "Tummy time: 40 min a day, 5-10 min each, 30 min after feeds" in shown
    assert "Send" not in house.last(house.robin).labels()


async def test_a_line_changes_the_draft_and_nothing_else_until_it_is_sent(house: House) -> None:
    await write(house, "/plan pip")
    shown = await write(house, "tummy 30/day 5 min; remove football; add rolling 4 min/day 2-4 min; wibble")

    assert "I could not read: wibble" in shown
    assert "✎ Tummy time: 30 min a day, 5 min each" in shown
    assert "＋ Rolling: 4 min a day" in shown
    assert "Out: Football hold." in shown
    assert [each.version for each in await versions(house)] == [1]
    assert house.heard(house.mum) == []


async def test_a_sent_draft_is_the_next_version_with_its_maker_and_the_day_is_planned_anew(
    house: House,
) -> None:
    async def planned() -> set[str]:
        with house.store.read() as uow:
            rows = uow.conn.execute(select(reminders.c.activity).where(reminders.c.state == "planned"))
            return {row.activity for row in rows}

    assert await planned() == {"tummy_time", "football_hold"}
    await write(house, "/plan pip")
    await write(house, "tummy alternate; remove football; side lying 10/day 5 min alternate")
    said = await press(house, ":send")

    first, second = await versions(house)
    assert said.startswith("✓ Version 2 is in force for Pip.")
    assert (second.version, second.made_by) == (2, Actor.therapist(TherapistId("t1")))
    assert second.note == "New: Side lying. Out: Football hold. Changed: Tummy time."
    assert first.plan.activity("football_hold") is not None
    assert await planned() == {"tummy_time", "side_lying"}


async def test_an_unusual_plan_is_asked_about_and_sent_only_after_yes(house: House) -> None:
    await write(house, "/plan pip")
    await write(house, "tummy 10 after feeds, alternate")
    asked = await press(house, ":send")

    assert asked.startswith("Before I send it:")
    assert "10 min after a feed" in asked
    assert len(await versions(house)) == 1

    said = await press_sure(house)

    assert said.startswith("✓ Version 2")
    with house.store.read() as uow:
        details = [row.detail for row in uow.conn.execute(select(audit).where(audit.c.what == "plan sent"))]
    assert details == ["version 2; confirmed: after_feed tummy_time"]


async def test_a_yes_to_one_draft_does_not_send_another(house: House) -> None:
    await write(house, "/plan pip")
    await write(house, "tummy 10 after feeds, alternate")
    await press(house, ":send")
    await write(house, "tummy 0 after feeds")
    said = await press_sure(house)

    assert len(await versions(house)) == 1
    assert said.startswith("Before I send it:")
    assert " 0 min after a feed" in said


async def test_arm_moves_without_a_first_day_are_shown_as_stopped_and_never_sent(house: House) -> None:
    await write(house, "/plan pip")
    shown = await write(house, "gentle range 6 min/day 2 min affected")
    said = await press(house, ":send")

    assert "⛔ Gentle arm moves: set the first day." in shown
    assert said.startswith("Not sent.")
    assert not any(":sure:" in (b.data or "") for m in house.heard(house.robin) for r in m.buttons for b in r)

    await write(house, "gentle range from 2026-03-04")
    asked = await press(house, ":send")

    assert asked.startswith("Before I send it:")
    assert "have you shown this family each move" in asked


async def test_the_day_is_seen_before_it_is_sent_with_what_does_not_fit(house: House) -> None:
    await write(house, "/plan pip")
    await write(house, "tummy 200/day 5 min alternate")
    before = len(house.heard(house.robin))
    shown = await press(house, ":day")

    assert shown.startswith("Pip, Tue 3 Mar")
    assert "Football hold, 5 min" in shown
    assert "⚠ Tummy time:" in shown
    assert "do not fit" in shown
    assert len(house.heard(house.robin)) == before  # it stands where the button was

    await press(house, ":pic")
    assert [message.kind for message in house.heard(house.robin)[before:]] == ["photo"]
    asked = await press(house, ":send")
    assert "❓ Tummy time: there is room for 15 of 200 min a day." in asked
    assert "A lower aim will, or more time awake." in asked
    assert (await press_sure(house)).startswith("✓ Version 2")
    assert len(house.heard(house.robin)) == before + 1


async def test_a_typed_line_shows_what_is_new_and_the_whole_plan_on_a_tap(house: House) -> None:
    await write(house, "/plan pip")
    shown = await write(house, "tummy 30/day alternate")

    assert "✎ Tummy time: 30 min a day" in shown
    assert "Football hold" not in shown

    assert "Football hold" in await press(house, ":show")


async def test_a_sent_plan_is_taken_back_until_its_first_reminder(house: House) -> None:
    await write(house, "/plan pip")
    await write(house, "tummy 30/day alternate")
    await press(house, ":send")
    said = await press(house, "planundo:f1:2")

    assert said.startswith("↩ Version 2 is taken back")
    first, second, third = await versions(house)
    assert third.plan == first.plan != second.plan
    assert "Undo" not in house.last(house.robin).labels()
    await house.at(20, day=1)
    assert not any("plan" in text and "Tummy" in text for text in house.texts(house.mum))

    shown = await write(house, "/plan pip")
    assert "✎ Tummy time: 30 min a day" in shown

    await press(house, ":send")
    await house.at(12, day=2)
    assert house.heard(house.mum)
    assert "has gone out" in await press(house, "planundo:f1:4")
    assert len(await versions(house)) == 4


async def test_a_draft_waits_while_the_therapist_does_other_things(house: House) -> None:
    await write(house, "/plan pip")
    await write(house, "tummy 25/day")
    await write(house, "/families")
    house.mum.say("how do I do the football hold again?")
    await house.at(18, day=2)
    shown = await write(house, "/plan pip")

    assert "draft. Not sent yet." in shown
    assert "✎ Tummy time: 25 min a day" in shown


async def test_a_change_of_the_days_shape_is_shown_too(house: House) -> None:
    await write(house, "/plan pip")
    shown = await write(house, "feeds 7, 10:30, 14; at most 5 reminders")
    rules = await press(house, ":rules")

    assert "✎ Feeds 07:00, 10:30, 14:00" in shown
    assert "✎ At most 5 reminders a day, 30 min apart." in shown
    assert "Awake" not in shown
    assert "Awake 07:00-09:00, 10:30-12:30, 14:00-16:00, 17:30-19:30" in rules


async def test_a_line_that_says_nothing_of_a_plan_is_answered_with_what_it_was_taken_for(
    house: House,
) -> None:
    await write(house, "/plan pip")
    said = await write(house, "wibble wobble")

    assert said.startswith("I took this as a line for the plan of Pip.")
    assert "I could not read: wibble wobble" in said


async def test_buttons_change_an_activity_step_by_step_in_one_message(house: House) -> None:
    await write(house, "/plan pip")
    message = house.last(house.robin)
    for end in (":pick", ":edit:tummy_time", ":f:tummy_time:t"):
        await press(house, end)
    await press(house, ":s:tummy_time:t:20")
    shown = await press(house, ":show")

    assert "✎ Tummy time: 20 min a day" in shown
    assert house.last(house.robin).message_id == message.message_id
    assert all(len(label) <= 24 for m in house.heard(house.robin) for label in m.labels())


async def test_adding_by_button_starts_from_set_values_and_opens_its_choices(house: House) -> None:
    await write(house, "/plan pip")
    assert "Reviewed by a licensed therapist: none of these yet." in await press(house, ":add")
    shown = await press(house, ":new:side_lying")

    assert shown.startswith("Side lying: 5 min a day")
    assert "Side" in house.last(house.robin).labels()


async def test_a_template_takes_the_place_of_the_activities_and_keeps_the_day(house: House) -> None:
    await write(house, "/plan pip")
    offered = await press(house, ":over")
    shown = await press(house, ":tpl:head_control")
    await press(house, ":send")

    assert "need review by a licensed therapist" in offered
    assert "＋ Forearm carry" in shown
    newest = (await versions(house))[-1]
    assert newest.version == 2
    assert newest.plan.feeds == (430, 640, 850, 1060)
    assert newest.plan.activity("tummy_time").target == MinutesADay(20)  # type: ignore[union-attr]


async def test_an_old_version_comes_back_as_a_new_one(house: House) -> None:
    await write(house, "/plan pip")
    await write(house, "remove football; tummy alternate")
    await press(house, ":send")
    await write(house, "/plan pip")
    listed = await press(house, ":vers")
    await press(house, ":look:1")
    shown = await press(house, ":bring:1")
    await press(house, ":send")
    await press_sure(house)

    first, _, third = await versions(house)
    assert "2: 2 Mar 2026, Robin\nOut: Football hold. Changed: Tummy time." in listed
    assert "This is version 1 again" in shown
    assert third.version == 3
    assert third.plan == first.plan


async def test_a_draft_begun_before_someone_elses_version_is_not_sent_over_it_unasked(house: House) -> None:
    await write(house, "/plan pip")
    await write(house, "tummy 35/day, alternate")
    current = (await versions(house))[-1]
    with house.store.write() as uow:
        document = copy.deepcopy(current.document) | {"most_prompts": 5}
        uow.plans.add(
            FamilyId("f1"), document, made_by=Actor.therapist(TherapistId("t1")), now=house.clock.now()
        )
    asked = await press(house, ":send")

    assert "Version 2 came after you began this draft (made by Robin)." in asked
    assert len(await versions(house)) == 2


async def test_throwing_a_draft_away_leaves_the_plan_in_force(house: House) -> None:
    await write(house, "/plan pip")
    await write(house, "remove football")
    said = await press(house, ":drop")
    after = await write(house, "tummy 10/day")

    assert said == "Draft thrown away. Version 1 stays in force for Pip."
    assert "Tummy time" not in after
    with house.store.read() as uow:
        assert uow.conn.scalar(select(func.count()).select_from(plan_drafts)) == 0


async def test_a_button_of_a_draft_that_is_gone_says_so(house: House) -> None:
    await write(house, "/plan pip")
    old = next(b.data for r in house.last(house.robin).buttons for b in r if b.data.endswith(":add"))  # type: ignore[union-attr]
    await write(house, "remove football")
    await press(house, ":drop")
    house.robin.press(data=old)
    await house.settle()

    assert house.last(house.robin).text == "That draft is closed. Write /plan to go on."


class TestWithTwoTherapists:
    @pytest.fixture
    def caseload(self) -> dict[str, Any]:
        both = copy.deepcopy(CASELOAD)
        both["therapists"].append({"id": "t2", "chat_id": 9002, "name": "Sam", "language": "es"})
        other = copy.deepcopy(both["families"][0])
        other |= {"id": "f2", "therapist": "t2"}
        other["plan"]["baby"] |= {"nickname": "Wren"}
        other["carers"] = [{"id": "c3", "chat_id": 5003, "name": "Dad", "consented": True}]
        other["prompts_to"] = ["c3"]
        both["families"].append(other)
        return both

    async def test_a_plan_of_a_colleagues_family_can_neither_be_seen_nor_changed(self, house: House) -> None:
        sam = house.person(9002)
        sam.say("/plan wren")
        await house.settle()
        theirs = house.last(sam)
        number = theirs.buttons[0][0].data.split(":")[1]  # type: ignore[union-attr]

        for data in (f"pd:{number}:tpl:nothing", f"pd:{number}:day", "plan:f2"):
            await self._press_unoffered(house, data)

        assert house.texts(house.robin)
        assert not any("Wren" in text for text in house.texts(house.robin))
        assert (await versions(house, "f2"))[-1].version == 1
        assert "Plan de Wren" in theirs.text

    async def _press_unoffered(self, house: House, data: str) -> None:
        """Press a button that Robin was never shown, as somebody could with a client of their own."""
        with house.store.write() as uow:
            context = house.rehearsal.parts.router.context(uow)
            robin = uow.therapists.find(TherapistId("t1"))
            assert context is not None and robin is not None
            made_up = ButtonPressed(chat_id=ChatId(9001), at=context.now, data=data, message_id=1, press="1")
            therapist_routes.receive(context, made_up, robin)
        await house.settle()

    async def test_a_covering_colleague_sees_the_family_and_only_while_covering(self, house: House) -> None:
        assert "I found no family" in await write(house, "/plan wren")
        with house.store.write() as uow:
            uow.therapists.set_cover(
                TherapistId("t2"), TherapistId("t1"), date(2026, 1, 1), date(2026, 12, 31)
            )

        await write(house, "/plan wren")
        assert any("Plan for Wren" in text for text in house.texts(house.robin))
