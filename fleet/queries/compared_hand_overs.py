"""A return beside its check-out: what differs, and how much the machine was used between them."""

from collections.abc import Sequence
from dataclasses import dataclass

from fleet.models import HandOver, MeterKind, Reading, Yard
from fleet.quantities import show_use
from fleet.saying import counted

EIGHTH = 1 / 8


def what_differs(out: HandOver, back: HandOver) -> list[str]:
    """Say what is not as it was at check-out: points, what went along, fuel or charge."""
    found = []
    for point, fine in back.walk_round.items():
        was = out.walk_round.get(point)
        if was is not None and was != fine:
            then, now = ("in order", "not in order") if was else ("not in order", "in order")
            found.append(f"{point}: {then} at check-out, {now} at return.")
        elif was is None and not fine:
            found.append(f"{point}: not in order at return, not looked at at check-out.")
    for words, went in out.accessories.items():
        if went and back.accessories and not back.accessories.get(words):
            found.append(f"Did not come back: {words}.")
    if out.level is not None and back.level is not None and out.level != back.level:
        runs_on = out.booking.machine.makeup.machine_class.runs_on
        went, came = say_level(out.level, runs_on), say_level(back.level, runs_on)
        found.append(f"Went out {went}, came back {came}.")
    return found


def say_level(level: float, runs_on: str) -> str:
    """Say how full it is: "5/8 full", "full", "empty", "charged to 80 %"."""
    if runs_on == "charge":
        return f"charged to {level:.0%}"
    eighths = round(level / EIGHTH)
    return {0: "empty", 8: "full"}.get(eighths, f"{eighths}/8 full")


@dataclass(frozen=True)
class UsedOnHire:
    """How much a machine was used between check-out and return.

    gains: what each meter went on, in words.  hours: on its hour meter, None where that was not
    read twice.  days: from the day out to the day back, both counted.  said: hours a day that the
    customer spoke of.
    """

    gains: Sequence[str]
    hours: float | None
    days: int
    said: float | None

    @property
    def sentence(self) -> str:
        """Say it: "Used 23.0 h in 3 days, 7.7 h a day; 8 h a day were spoken of."."""
        if not self.gains:
            return "Its meters were not read both times, so its use is not known."
        tail = ""
        if self.hours is not None:
            tail = f", {self.hours / self.days:.1f} h a day"
            if self.said is not None:
                tail += f"; {self.said:g} h a day were spoken of"
        return f"Used {' and '.join(self.gains)} in {counted(self.days, 'day')}{tail}."


def used_between(out: HandOver, back: HandOver, yard: Yard) -> UsedOnHire:
    """Return what the meters went on, from readings that are loaded and stand."""
    first, last = _shown(out), _shown(back)
    both = [meter for meter in last if meter in first]
    gained = {meter: last[meter].value - first[meter].value for meter in both}
    kinds = {meter: last[meter].meter.kind for meter in both}
    hours = [gain for meter, gain in gained.items() if kinds[meter] == MeterKind.HOURS]
    days = (back.at.astimezone(yard.zone).date() - out.at.astimezone(yard.zone).date()).days + 1
    return UsedOnHire(
        [show_use(gain, kinds[meter], yard.units) for meter, gain in gained.items()],
        hours[0] if hours else None,
        days,
        out.hours_a_day,
    )


def _shown(row: HandOver) -> dict[int, Reading]:
    rows = [one for one in row.readings.all() if not (one.void or hasattr(one, "corrected_by"))]
    return {one.meter_id: one for one in rows}
