"""The slip of a hand-over: what is signed, in words, for the page and for the file."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.conf import settings

from fleet.booked_times import say_booked
from fleet.models import Booking, Caution, HandOver, HandOverPhoto, Machine
from fleet.procedures import traits_of_machine, warned_on_build
from fleet.quantities import show_use
from fleet.queries.compared_hand_overs import say_level
from fleet.queries.kept_extras import charges_of, photos_of, total
from fleet.saying import say_moment, say_money

KEPT = date.min
"""The day on which a slip is read: papers are kept for years, so the year stands with each date."""
SIGNALS = [str(value) for value in Caution.Signal.values]
"""Signal words, most serious first."""


@dataclass(frozen=True)
class SlipCaution:
    """A caution: its signal word and its text."""

    signal: str
    text: str


@dataclass(frozen=True)
class Signed:
    """Who signs, the name that is known, and the strokes that were drawn, if any."""

    who: str
    name: str
    strokes: str


@dataclass(frozen=True)
class Slip:
    """What stands on the paper: pairs of name and value, the walk-round, cautions, who signs."""

    title: str
    pairs: Sequence[tuple[str, str]]
    points: Sequence[tuple[str, str]]
    goes_along: Sequence[tuple[str, str]]
    note: str
    cautions: Sequence[SlipCaution]
    signed: Sequence[Signed]
    charged: Sequence[tuple[str, str]] = ()
    photos: Sequence[HandOverPhoto] = ()


def slip_of(row: HandOver) -> Slip:
    """Return the slip of a hand-over; six queries beside the row's own."""
    booking, machine = row.booking, row.booking.machine
    out = row.direction == HandOver.Direction.OUT
    cautions = sorted(
        warned_on_build(machine.makeup.machine_class.cautions.all(), traits_of_machine(machine)),
        key=lambda one: SIGNALS.index(one.signal),
    )
    went, came = ("taken", "not taken") if out else ("came back", "did not come back")
    return Slip(
        f"{'Check-out' if out else 'Return'} of {machine.tag}: {booking.customer}",
        _pairs(row),
        [(point, "in order" if fine else "NOT in order") for point, fine in row.walk_round.items()],
        [(words, went if there else came) for words, there in row.accessories.items()],
        row.note,
        [SlipCaution(one.get_signal_display(), one.text) for one in cautions],
        [
            Signed(
                "Took it" if out else "Brought it back",
                row.taken_by or booking.customer,
                row.signature,
            ),
            Signed("At the counter", str(row.by or ""), row.our_signature),
        ],
        _charged(row),
        list(photos_of(row)),
    )


def _charged(row: HandOver) -> list[tuple[str, str]]:
    """Return what is charged, and the sum of several."""
    rows = list(charges_of(row))
    said = [(one.what, say_money(float(one.amount), settings.CURRENCY)) for one in rows]
    if len(rows) > 1:
        said.append(("In all", say_money(float(total(rows)), settings.CURRENCY)))
    return said


def attachments_with(booking: Booking) -> list[Machine]:
    """Return the attachments that stand on the same hire on some of the same days; one query."""
    if booking.hire_id is None:
        return []
    rows = Booking.objects.filter(
        hire=booking.hire_id, cancelled_at=None, first_day__lte=booking.last_day,
        last_day__gte=booking.first_day, machine__makeup__machine_class__is_attachment=True,
    ).exclude(pk=booking.pk)  # fmt: skip
    rows = rows.select_related("machine__makeup__machine_class").order_by("machine__tag")
    return [row.machine for row in rows]


def _pairs(row: HandOver) -> list[tuple[str, str]]:
    booking, machine = row.booking, row.booking.machine
    yard = machine.yard
    found = [
        ("Machine", f"{machine.tag}, {machine.makeup.machine_class}, {machine.makeup}"),
        ("Serial number", machine.serial or "not known"),
        ("Customer", booking.customer),
        ("Booking", f"no. {booking.hire_id or booking.pk}, {say_booked(booking.days, KEPT)}"),
        ("When", f"{say_moment(row.at, yard.zone, KEPT)}, {yard}"),
    ]
    for one in attachments_with(booking):
        found.append(("Attachment", f"{one.tag}, {one.makeup}, serial {one.serial or 'not known'}"))
    for reading in row.readings.all():
        if not (reading.void or hasattr(reading, "corrected_by")):
            kind = reading.meter.kind
            shown = show_use(reading.value, kind, yard.units)
            found.append((reading.meter.get_kind_display(), shown))
    if row.level is not None:
        runs_on = machine.makeup.machine_class.runs_on
        found.append(("Charge" if runs_on == "charge" else "Fuel", say_level(row.level, runs_on)))
    if row.use_said:
        found.append(("Used for", row.use_said))
    if row.hours_a_day is not None:
        found.append(("Is to run", f"{row.hours_a_day:g} h a day"))
    return found
