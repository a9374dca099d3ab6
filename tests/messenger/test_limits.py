from __future__ import annotations

import heapq
from bisect import bisect_left

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.domain.ids import ChatId
from bot.messenger.limits import LONGEST_GAP, SPREAD_OVER, Limits, Rates, Spread

CHATS = st.integers(1, 6) | st.integers(-3, -1)


def send_all(chats: list[int], limits: Limits) -> list[tuple[float, int]]:
    """Send to the chats in order, each as soon as the limits let it; return (second, chat)."""
    now, sent = 0.0, []
    for chat in chats:
        while (wait := limits.wait(ChatId(chat), now)) > 0:
            now += wait
        limits.begin(ChatId(chat), now)
        limits.end(ChatId(chat), now)
        sent.append((now, chat))
    return sent


@given(st.lists(CHATS, max_size=150))
def test_no_window_of_time_ever_holds_more_than_the_service_allows(chats: list[int]) -> None:
    sent = send_all(chats, Limits())

    for start, _ in sent:
        within_second = [chat for at, chat in sent if start <= at < start + 0.999]
        within_minute = [chat for at, chat in sent if start <= at < start + 59.999]
        assert len(within_second) <= 30
        assert all(within_second.count(chat) <= 1 for chat in set(within_second) if chat > 0)
        assert all(within_minute.count(chat) <= 20 for chat in set(within_minute) if chat < 0)


def test_there_is_no_burst_in_the_first_second() -> None:
    limits = Limits()
    now = 0.0
    for chat in range(1, 31):
        assert limits.wait(ChatId(chat), now, urgent=True) == 0
        limits.begin(ChatId(chat), now)
        limits.end(ChatId(chat), now)

    assert limits.wait(ChatId(99), now, urgent=True) > 0.9


def test_a_hold_that_the_service_asked_for_is_kept_even_by_the_urgent() -> None:
    limits = Limits()
    limits.hold(ChatId(5), 7.0, now=0.0)

    assert limits.wait(ChatId(5), 3.0, urgent=True) == 4.0
    assert limits.wait(ChatId(6), 3.0) == 0.0


def test_a_worry_does_not_queue_behind_the_chats_own_pace() -> None:
    limits = Limits()
    limits.begin(ChatId(5), 0.0)
    limits.end(ChatId(5), 0.0)

    assert limits.wait(ChatId(5), 0.1) > 0.8
    assert limits.wait(ChatId(5), 0.1, urgent=True) == 0.0


def test_many_chats_do_not_pile_up_for_ever() -> None:
    limits = Limits(Rates(overall=10**6))
    for chat in range(1, 10_001):
        limits.wait(ChatId(chat), float(chat))
        limits.begin(ChatId(chat), float(chat))
        limits.end(ChatId(chat), float(chat))

    assert len(limits._chats) < 3000


@settings(max_examples=30)
@given(
    st.lists(st.tuples(st.integers(1, 400), st.floats(0, 4), st.floats(0, 1)), min_size=60, max_size=250),
    st.booleans(),
)
def test_whatever_the_network_does_no_second_of_the_service_holds_more_than_thirty(
    messages: list[tuple[int, float, float]], urgent: bool
) -> None:
    """Each message: its chat, the seconds until the answer comes, and at which part of these the service takes it."""
    limits, now, arrived = Limits(), 0.0, []
    answers: list[tuple[float, int]] = []
    for chat, takes, share in messages:
        while (wait := limits.wait(ChatId(chat), now, urgent=urgent)) > 0:
            now += wait
            while answers and answers[0][0] <= now:
                at, answered = heapq.heappop(answers)
                limits.end(ChatId(answered), at)
        limits.begin(ChatId(chat), now)
        heapq.heappush(answers, (now + takes, chat))
        arrived.append(now + takes * share)

    arrived.sort()
    seconds = [bisect_left(arrived, start + 0.999) - place for place, start in enumerate(arrived)]
    assert max(seconds) <= 30


def test_a_second_full_of_reminders_has_room_for_an_answer_and_a_second_full_of_answers_for_a_concern() -> (
    None
):
    limits, now = Limits(), 0.0
    for chat in range(1, 1000):
        if limits.wait(ChatId(chat), now, awaited=False) == 0:
            limits.begin(ChatId(chat), now)
    assert limits.wait(ChatId(2001), now) == 0

    for chat in range(2001, 3000):
        if limits.wait(ChatId(chat), now) == 0:
            limits.begin(ChatId(chat), now)
    assert limits.wait(ChatId(4001), now, urgent=True) == 0

    for chat in range(4001, 5000):
        if limits.wait(ChatId(chat), now, urgent=True) == 0:
            limits.begin(ChatId(chat), now)
    assert limits._overall.under_way == 30


def test_what_another_process_sent_to_a_group_counts_for_its_minute() -> None:
    limits = Limits()
    for second in range(20):
        limits.remember(ChatId(-5), -30.0 + second)

    assert limits.wait(ChatId(-5), 0.0) == 30.0
    assert limits.wait(ChatId(-6), 0.0) == 0.0
    assert limits.wait(ChatId(-5), 30.0) == 0.0


def begun(waiting: int, seconds: float, *, step: float = 0.01) -> list[float]:
    """Return when each of so many reminders of one moment goes, looked after every `step` seconds."""
    spread, now, at = Spread(), 1000.0, list[float]()
    while len(at) < waiting:
        spread.over(waiting - len(at), seconds)
        while len(at) < waiting and spread.wait(now) <= 0:
            spread.begin(now)
            at.append(now - 1000.0)
        now += step
    return at


@pytest.mark.parametrize("waiting", [120, 500, 1300])
def test_the_reminders_of_a_minute_are_spread_over_it_evenly(waiting: int) -> None:
    at = begun(waiting, SPREAD_OVER)
    assert at[-1] <= SPREAD_OVER + 0.1, "each still in its minute"
    assert at[-1] >= SPREAD_OVER * 0.9
    fullest = max(sum(start <= one < start + 1 for one in at) for start in at)
    assert fullest <= waiting / SPREAD_OVER + 2


def test_few_reminders_do_not_take_the_whole_minute() -> None:
    assert begun(6, SPREAD_OVER)[-1] <= 6 * LONGEST_GAP


def test_what_a_busy_loop_came_late_for_is_made_up_for() -> None:
    assert begun(500, SPREAD_OVER, step=0.4)[-1] <= SPREAD_OVER + 0.5


def test_without_reminders_the_pace_is_forgotten() -> None:
    spread = Spread()
    spread.over(1300, SPREAD_OVER)
    spread.over(0, SPREAD_OVER)
    spread.over(100, SPREAD_OVER)
    spread.begin(1000.0)
    assert spread.wait(1000.0) == SPREAD_OVER / 100
