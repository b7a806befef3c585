"""Rows of one batch of machines, gathered first and written table by table.

Rows that point at each other are linked as objects; each table is written before those that
point at it, so that the keys are there.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

from django.db.models import Model

from fleet.actions.open_hires import hires_for
from fleet.models import (
    Booking,
    Finding,
    HandOver,
    Measurement,
    Reading,
    ReadingToMend,
    RecordedMeter,
    ServiceRecord,
)

BATCH = 2000


@dataclass
class Ledger:
    """Rows to write, by table."""

    bookings: list[Booking] = field(default_factory=list)
    readings: list[Reading] = field(default_factory=list)
    corrections: list[Reading] = field(default_factory=list)
    to_mend: list[ReadingToMend] = field(default_factory=list)
    hand_overs: list[HandOver] = field(default_factory=list)
    shown: list[tuple[HandOver, Reading]] = field(default_factory=list)
    records: list[ServiceRecord] = field(default_factory=list)
    meters: list[RecordedMeter] = field(default_factory=list)
    measurements: list[Measurement] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)

    def write(self) -> int:
        """Write every table; returns the number of readings."""
        for made in hires_for(self.bookings):
            _write(made)
        for rows in (
            self.bookings,
            self.readings,
            self.corrections,
            self.to_mend,
            self.hand_overs,
            self.records,
            self.meters,
            self.measurements,
            self.findings,
        ):
            _write(rows)
        link = HandOver.readings.through
        _write([link(handover_id=h.pk, reading_id=r.pk) for h, r in self.shown])
        return len(self.readings) + len(self.corrections)


def _write(rows: Sequence[Model]) -> None:
    """Write one table; the keys of linked rows, written before, are taken over by Django."""
    if rows:
        type(rows[0])._default_manager.bulk_create(rows, batch_size=BATCH)
