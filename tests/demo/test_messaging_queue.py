"""The queue of updates against a plain list that forgets nothing it should keep."""

from __future__ import annotations

from datetime import timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from demo.messaging.clock import ServerClock
from demo.messaging.events import Record
from demo.messaging.updates import MESSAGE_LIFE, PRESS_LIFE, UpdateQueue

steps = st.lists(
    st.one_of(
        st.tuples(st.just("add"), st.sampled_from([MESSAGE_LIFE, PRESS_LIFE])),
        st.tuples(st.just("take"), st.integers(1, 5)),
        st.tuples(st.just("confirm"), st.integers(1, 5)),
        st.tuples(st.just("last"), st.integers(1, 3)),
        st.tuples(st.just("advance"), st.sampled_from([1.0, 149.0, 150.0, 86_250.0])),
    ),
    max_size=40,
)


class PlainList:
    """(update_id, when it grows too old) in order; the rules of getUpdates word for word."""

    def __init__(self) -> None:
        self.now = 0.0
        self.kept: list[tuple[int, float]] = []

    def take(self, offset: int, limit: int) -> list[int]:
        self.kept = [entry for entry in self.kept if entry[1] > self.now]
        if offset > 0:
            self.kept = [entry for entry in self.kept if entry[0] >= offset]
        elif offset < 0:
            self.kept = self.kept[offset:]
        return [number for number, _ in self.kept[:limit]]


@settings(max_examples=150, deadline=None)
@given(steps)
def test_the_queue_hands_over_what_a_plain_list_would(moves: list[tuple[str, float]]) -> None:
    clock = ServerClock(timer=lambda: 0.0)
    queue = UpdateQueue(clock, Record(), first_id=10)
    plain = PlainList()
    seen: list[int] = []
    for move, amount in moves:
        if move == "add":
            number = queue.add("message", {}, chat_id=1, life=amount)
            assert number is not None
            plain.kept.append((number, plain.now + amount))
        elif move == "advance":
            clock.advance(timedelta(seconds=amount))
            plain.now += amount
        else:
            offset = {"take": 0, "confirm": max(seen, default=-1) + 1, "last": -int(amount)}[move]
            limit = 100 if move == "last" else int(amount)
            seen = [update["update_id"] for update in queue.take(offset, limit)]
            assert seen == plain.take(offset, limit)


@settings(max_examples=60, deadline=None)
@given(st.permutations(range(1, 12)))
def test_injected_updates_come_in_the_order_of_their_ids(numbers: list[int]) -> None:
    queue = UpdateQueue(ServerClock(), Record())
    for number in numbers:
        queue.inject({"update_id": number})

    assert [update["update_id"] for update in queue.take(0, 100)] == sorted(numbers)


def test_a_clock_that_runs_faster_ages_nothing_faster() -> None:
    seconds = 0.0
    clock = ServerClock(speed=1000, timer=lambda: seconds)
    queue = UpdateQueue(clock, Record())
    before = clock.now()
    queue.add("callback_query", {}, chat_id=1, life=PRESS_LIFE)
    seconds = 149.0

    assert clock.now() - before == 149_000
    assert len(queue) == 1
    seconds = 150.0
    assert len(queue) == 0
