"""Counters for the operator, in the open metrics text format."""

from __future__ import annotations

from collections.abc import Mapping

from prometheus_client import CollectorRegistry, Counter, Gauge, Histogram

LATENESS = (1.0, 5.0, 15.0, 60.0, 300.0, 900.0, 1800.0, 3600.0)  # seconds


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
        self._add_what_is_told()
        self.inbox = Gauge("underwing_inbox", "Updates by state", ["state"], registry=self.registry)
        self.outbox = Gauge(
            "underwing_outbox", "Outgoing messages by state", ["state"], registry=self.registry
        )
        self.inbox_age = Gauge(
            "underwing_inbox_oldest_seconds",
            "Seconds since the oldest update came that is not handled",
            registry=self.registry,
        )
        self.outbox_age = Gauge(
            "underwing_outbox_oldest_seconds",
            "Seconds for which the longest waiting message might have gone",
            registry=self.registry,
        )

    def _add_what_is_told(self) -> None:
        self.readings = Counter(
            "underwing_readings", "Messages by what they were read to say", ["kind"], registry=self.registry
        )
        self.concerns = Counter(
            "underwing_concerns",
            "Signs of trouble: raised, asked about, and asked about and then confirmed (else missed) or denied",
            ["what"],
            registry=self.registry,
        )
        self.lateness = Histogram(
            "underwing_reminder_late_seconds",
            "Seconds between a reminder's time and its arrival",
            buckets=LATENESS,
            registry=self.registry,
        )

    def note(self, tally: Mapping[tuple[str, str], int]) -> None:
        """Count what committed work told, as (figure, kind)."""
        for (figure, kind), n in tally.items():
            if figure == "readings":
                self.readings.labels(kind=kind).inc(n)
            else:
                self.concerns.labels(what=kind).inc(n)
