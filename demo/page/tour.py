"""The guided tour: what happens at each of its seven steps. The words of the steps stand in words/*.toml."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from datetime import timedelta

from demo.messaging.person import Person
from demo.page.world import World

MOTHER, GRANDFATHER, THERAPIST = 5001, 5002, 9001
STEPS = ("reminder", "reply", "refresher", "concern", "plan", "digest", "yours")


def _reminded(world: World) -> bool:
    return "done" in _verbs(world, MOTHER)


def _verbs(world: World, chat_id: int) -> set[str]:
    """Return what the buttons of a phone's newest message do."""
    messages = world.person(chat_id).messages(by_bot=True)
    buttons = [button for line in messages[-1].buttons for button in line] if messages else []
    return {(button.data or "").partition(":")[0] for button in buttons}


async def _reminder(world: World) -> None:
    """The first reminder of a day."""
    await world.until(lambda: _reminded(world))


async def _reply(world: World) -> None:
    await world.act(MOTHER, lambda person: person.say("12 min, turned right twice"))


async def _refresher(world: World) -> None:
    await world.act(GRANDFATHER, lambda person: person.say("¿cómo era lo de llevarlo como balón?"))


async def _concern(world: World) -> None:
    await world.act(
        MOTHER, lambda person: person.say("she cries when I touch the bad arm since this morning")
    )


async def _plan(world: World) -> None:
    """Later that morning the therapist lets the held activities go on, shortens one in one line, and sends the plan."""
    seen_by = world.now + timedelta(hours=1)
    await world.until(lambda: False, by=seen_by)
    await world.act(THERAPIST, lambda person: _press(person, "goon"))
    await world.act(THERAPIST, lambda person: person.say("/plan pip"))
    await world.act(THERAPIST, lambda person: person.say("tummy 30/day"))
    await world.act(THERAPIST, lambda person: _press(person, ":send"))
    if any(verb == "pd" for verb in _verbs(world, THERAPIST)):
        await world.act(THERAPIST, lambda person: _press(person, ":sure"))


def _press(person: Person, end: str) -> None:
    """Press the newest button whose data ends so, or has it within; nothing where there is none."""
    for message in reversed(person.messages(by_bot=True)):
        for button in (each for line in message.buttons for each in line):
            if button.data and (button.data.endswith(end) or f"{end}:" in button.data):
                person.press(data=button.data, message_id=message.message_id)
                return


async def _digest(world: World) -> None:
    """On to the evening on which the week is summed up."""
    before = len(_pictures(world))
    ends = world.week.ends
    world.give_back(MOTHER)
    world.give_back(GRANDFATHER)
    world.give_back(THERAPIST)
    await world.until(lambda: len(_pictures(world)) > before, by=ends - timedelta(minutes=1))


def _pictures(world: World) -> list[int]:
    return [each.message_id for each in world.person(THERAPIST).messages(by_bot=True) if each.kind == "photo"]


async def _yours(world: World) -> None:
    world.week.residents.taken.update((MOTHER, GRANDFATHER, THERAPIST))
    await world.tell()


DO: dict[str, Callable[[World], Awaitable[None]]] = {
    "reminder": _reminder,
    "reply": _reply,
    "refresher": _refresher,
    "concern": _concern,
    "plan": _plan,
    "digest": _digest,
    "yours": _yours,
}
