"""How often a bot may send: the keeper by itself on a timer of the test's, and its answer over the wire."""

from __future__ import annotations

from datetime import timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from telegram import Bot
from telegram.error import RetryAfter

from demo.messaging import Limits, MessagingServer
from demo.messaging.errors import ApiError
from demo.messaging.limits import RateKeeper


class Timer:
    def __init__(self) -> None:
        self.now = 100.0

    def __call__(self) -> float:
        return self.now


def sent_at(keeper: RateKeeper, timer: Timer, times: list[float], chat_id: int | None = None) -> list[float]:
    """Return the times of `times` at which a message was let through, each to a chat of its own unless one is named."""
    passed = []
    for number, at in enumerate(times):
        timer.now = 100.0 + at
        try:
            keeper.count(number + 1 if chat_id is None else chat_id)
        except ApiError:
            continue
        passed.append(at)
    return passed


def test_a_chat_takes_a_small_burst_and_then_one_message_a_second() -> None:
    timer = Timer()
    passed = sent_at(
        RateKeeper(Limits(), timer=timer), timer, [tenth / 10 for tenth in range(100)], chat_id=5
    )

    assert [at for at in passed if at == 0 or at < 0.3] == [0.0, 0.1, 0.2]
    assert 11 <= len(passed) <= 13


def test_thirty_messages_a_second_pass_in_all() -> None:
    timer = Timer()
    passed = sent_at(RateKeeper(Limits(), timer=timer), timer, [n / 100 for n in range(300)])

    assert sum(at < 0.94 for at in passed) == 30
    assert 89 <= len(passed) <= 120


def test_a_sender_at_exactly_thirty_a_second_is_never_refused() -> None:
    timer = Timer()
    times = [n / 30 + (0.01 if n % 2 else 0) for n in range(600)]

    assert len(sent_at(RateKeeper(Limits(), timer=timer), timer, times)) == 600


def test_a_group_takes_twenty_messages_a_minute() -> None:
    timer = Timer()
    passed = sent_at(RateKeeper(Limits(), timer=timer), timer, [2.0 * n for n in range(60)], chat_id=-5)

    assert sum(at < 59 for at in passed) == 20
    assert sum(at < 119 for at in passed) == 40


def test_the_wait_is_whole_seconds_after_which_the_message_passes() -> None:
    timer = Timer()
    keeper = RateKeeper(Limits(), timer=timer)
    for _ in range(20):
        timer.now += 1.5
        keeper.count(-5)
    with pytest.raises(ApiError) as refused:
        keeper.count(-5)
    wait = refused.value.parameters["retry_after"]
    timer.now += wait

    assert refused.value.error_code == 429
    assert refused.value.description == f"Too Many Requests: retry after {wait}"
    assert 25 <= wait <= 32
    keeper.count(-5)


@settings(max_examples=60, deadline=None)
@given(gaps=st.lists(st.floats(0, 0.2), min_size=1, max_size=150), chats=st.integers(1, 40))
def test_no_second_ever_holds_more_than_thirty_messages(gaps: list[float], chats: int) -> None:
    timer = Timer()
    keeper = RateKeeper(Limits(), timer=timer)
    passed: list[float] = []
    for number, gap in enumerate(gaps):
        timer.now += gap
        try:
            keeper.count(number % chats + 1)
        except ApiError:
            continue
        passed.append(timer.now)

    assert all(sum(at <= other < at + 0.949 for other in passed) <= 30 for at in passed)


def test_without_rates_nothing_is_refused() -> None:
    timer = Timer()

    assert len(sent_at(RateKeeper(Limits.off(), timer=timer), timer, [0.0] * 500, chat_id=5)) == 500


async def test_the_library_is_told_how_long_to_wait() -> None:
    async with MessagingServer(limits=Limits(chat_burst=2)) as server:
        server.people.add(5001, "Sam")
        async with Bot(server.token, base_url=server.base_url) as bot:
            await bot.send_message(5001, "a")
            await bot.send_message(5001, "b")
            with pytest.raises(RetryAfter) as refused:
                await bot.send_message(5001, "c")

        assert refused.value.retry_after == timedelta(seconds=1)
        assert [view.text for view in server.people[5001].messages()] == ["a", "b"]
        assert [call.error_code for call in server.record.calls[1:]] == [None, None, 429]
