"""Counters for the operator, in the open metrics text format."""

from __future__ import annotations

from prometheus_client import CollectorRegistry, Counter, Gauge


class Metrics:
    """The figures that `/metrics` shows; a registry of its own, so that two bots in one process do not clash."""

    def __init__(self) -> None:
        self.registry = CollectorRegistry()
        self.received = Counter("underwing_updates_received", "Updates stored", registry=self.registry)
        self.handled = Counter(
            "underwing_updates_handled", "Updates handled", ["outcome"], registry=self.registry
        )
        self.sent = Counter(
            "underwing_messages_sent", "Sending attempts", ["kind", "outcome"], registry=self.registry
        )
        self.ticks = Counter(
            "underwing_heartbeats", "PeriodicJobs done", ["name", "outcome"], registry=self.registry
        )
        self.job_age = Gauge(
            "underwing_job_seconds",
            "Seconds since a periodic job last did its work",
            ["name"],
            registry=self.registry,
        )
        self.untold = Gauge(
            "underwing_untold",
            "Messages that must arrive and did not, by kind",
            ["kind"],
            registry=self.registry,
        )
        self.inbox = Gauge("underwing_inbox", "Updates by state", ["state"], registry=self.registry)
        self.outbox = Gauge(
            "underwing_outbox", "Outgoing messages by state", ["state"], registry=self.registry
        )
