"""Trouble on request: which call or update goes wrong, how, and how often."""

from __future__ import annotations

import random
from dataclasses import dataclass
from typing import Literal, get_args

CallFault = Literal["lost_before", "lost_after", "delay", "too_many_requests", "server_error"]
UpdateFault = Literal["handed_twice"]
FaultKind = CallFault | UpdateFault


@dataclass(slots=True)
class Fault:
    """One kind of trouble.

    kind: "lost_before" drops the connection before the call has an effect; "lost_after" lets it have its effect
    and then drops the connection; "delay" answers after `seconds`; "too_many_requests" refuses with retry_after = `seconds`;
    "server_error" refuses with a 500; "handed_twice" hands an update over once more after it was confirmed.
    method: the calls it holds for, None for all but getUpdates. chat_id: the chat it holds for, None for all.
    count: how many more times, None for ever. probability: of striking, each time.
    """

    kind: FaultKind
    method: str | None = None
    chat_id: int | None = None
    count: int | None = 1
    probability: float = 1.0
    seconds: float = 1.0
    struck: int = 0

    def __post_init__(self) -> None:
        kinds = (*get_args(CallFault), *get_args(UpdateFault))
        if self.kind not in kinds:
            raise ValueError(f"There is no fault {self.kind!r}: choose one of {', '.join(kinds)}.")
        if not 0 <= self.probability <= 1:
            raise ValueError(f"A fault's probability is {self.probability}: it must lie between 0 and 1.")
        if self.count is not None and self.count < 1:
            raise ValueError(f"A fault's count is {self.count}: it must be 1 or more, or null for ever.")
        if self.seconds < 0:
            raise ValueError(f"A fault's seconds are {self.seconds}: they must not be negative.")


class FaultPlan:
    """The faults that are asked for, in order; the first that holds for a call and strikes is the one."""

    def __init__(self, seed: int = 0) -> None:
        self._random = random.Random(seed)
        self.faults: list[Fault] = []

    def add(self, fault: Fault) -> Fault:
        self.faults.append(fault)
        return fault

    def clear(self) -> None:
        self.faults.clear()

    def reseed(self, seed: int) -> None:
        self._random.seed(seed)

    def for_call(self, method: str, chat_id: int | None) -> Fault | None:
        """Return the fault that strikes this call, counted as struck. method: in lower case."""
        return self._strike(get_args(CallFault), method, chat_id) if self.faults else None

    def for_update(self, chat_id: int | None) -> Fault | None:
        """Return the fault that strikes this update, counted as struck."""
        return self._strike(get_args(UpdateFault), None, chat_id) if self.faults else None

    def _strike(self, kinds: tuple[str, ...], method: str | None, chat_id: int | None) -> Fault | None:
        for fault in self.faults:
            named = fault.method.lower() if fault.method else None
            holds = named == method if named else method != "getupdates"
            if fault.kind not in kinds or not holds or fault.chat_id not in (None, chat_id):
                continue
            if self._random.random() >= fault.probability:
                continue
            fault.struck += 1
            if fault.count is not None:
                fault.count -= 1
                if fault.count == 0:
                    self.faults.remove(fault)
            return fault
        return None
