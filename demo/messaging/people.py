"""Everyone who can write to the bot, and the groups they share with it."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Iterator, Sequence

from demo.messaging.chats import Account
from demo.messaging.errors import PeopleError
from demo.messaging.person import Person
from demo.messaging.seen import ChatSeen, Group
from demo.messaging.service import Service


class People:
    """Everyone who can write to the bot, and the groups they share with it."""

    def __init__(self, service: Service) -> None:
        self._service = service
        self._persons: dict[int, Person] = {}
        self._groups: dict[int, Group] = {}

    def add(
        self,
        person_id: int,
        first_name: str = "Someone",
        *,
        last_name: str | None = None,
        username: str | None = None,
        language_code: str | None = "en",
        started: bool = True,
    ) -> Person:
        """Add a person; their chat has the same id. started: they have begun the chat, so the bot may write first."""
        if person_id <= 0 or person_id in self._persons:
            raise PeopleError(f"A person cannot have the id {person_id}: give one above 0 that is not taken.")
        account = Account(person_id, first_name, last_name, username, language_code)
        chat = self._service.new_chat(person_id, "private", None, account)
        chat.started = started
        person = Person(self._service, chat, account)
        self._persons[person_id] = person
        self._service.events.add("person", person_id, name=first_name)
        return person

    def add_group(
        self, group_id: int, title: str, members: Sequence[Person], *, bot_is_admin: bool = False
    ) -> Group:
        """Add a group to which its first member adds the bot, which is told so."""
        if group_id >= 0 or group_id in self._groups or not members:
            raise PeopleError(f"A group needs members and an id below 0 that is not taken, not {group_id}.")
        chat = self._service.new_chat(group_id, "group", title, None)
        chat.members = {person.id: person.account for person in members}
        chat.bot_is_admin = bot_is_admin
        group = Group(self._service, chat)
        self._groups[group_id] = group
        group.add_bot(members[0].account)
        return group

    def __getitem__(self, person_id: int) -> Person:
        try:
            return self._persons[person_id]
        except KeyError:
            raise PeopleError(f"There is no person {person_id}: add them first.") from None

    def __iter__(self) -> Iterator[Person]:
        return iter(self._persons.values())

    def group(self, group_id: int) -> Group:
        for first_id, group in self._groups.items():
            if group_id in (first_id, group.id):
                return group
        raise PeopleError(f"There is no group {group_id}: add it first.")

    def chat(self, chat_id: int) -> ChatSeen:
        """Return a person's chat or a group, by its id."""
        return self[chat_id] if chat_id > 0 else self.group(chat_id)

    @property
    def groups(self) -> list[Group]:
        return list(self._groups.values())

    async def until(self, condition: Callable[[], bool], timeout: float = 5.0) -> None:  # noqa: ASYNC109
        """Wait until `condition` holds, asking again at each event.

        Raises:
            PeopleError: it did not within `timeout` seconds of real time.
        """
        try:
            async with asyncio.timeout(timeout):
                while True:
                    last = self._service.events.last
                    if condition():
                        return
                    await self._service.events.changed(last)
        except TimeoutError:
            raise PeopleError(f"What was waited for did not happen within {timeout:g} s.") from None
