"""What a past lived through again came to, in words: its sentence, its rows, what was assumed."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from fleet.saying import counted
from scheduling.core.replay import PUT_OFF

TITLES = {
    "overdue_days": "Overdue machine-days",
    "hard_days": "Of these, past a limit set by law",
    "bookings": "Bookings that an overdue service stood against",
    "visits": "Visits, machines in the shop by day",
    "services": "Services done",
    "worked": "Hours of work",
    "overtime": "Hours of overtime",
    "thrown": "Hours on the meter thrown away by early work",
    "put_off": "Visits planned and not made that day",
}
"""Figures in the order in which they are shown."""

A_YEAR = range(364, 368)
"""Days that people call twelve months."""

ONLY_PLANS = ("put_off",)
"""Figures that the book does not have."""


@dataclass(frozen=True)
class HindsightRow:
    """One figure: of the book, of the plans, with one mechanic-day a week more, and one less."""

    name: str
    title: str
    was: str
    plans: str
    more: str
    less: str


def hindsight_sentence(result: Mapping[str, Any], first: date, last: date) -> str:
    """Say first what matters most."""
    was, plans = result["was"]["overdue_days"], result["plans"]["overdue_days"]
    span = f"From {whole_date(first)} to {whole_date(last)}"
    if (last - first).days + 1 in A_YEAR:
        span = f"Over the 12 months to {whole_date(last)}"
    had = f"{span} the shop had {counted(round(was), 'overdue machine-day')}"
    return f"{had}; Evener's plans would have had {say_ends(plans)}."


def hindsight_price(result: Mapping[str, Any]) -> str:
    """Say what the plans would have taken for that, and whether other hands change it."""
    cannot, said = result["cannot_tell"], []
    taken = [
        f"{words} {_whole(result['was'][name])}, with plans {say_ends(result['plans'][name])}"
        for name, words in (
            ("services", "services done"),
            ("thrown", "hours thrown away by early work"),
        )
        if name not in cannot
    ]
    if taken:
        said.append(f"What it takes: {'; '.join(taken)}.")
    plans, more, less = (result[of]["overdue_days"] for of in ("plans", "one_more", "one_less"))
    if result["seeds"] > 1:
        if _meet(plans, more) and _meet(plans, less):
            said.append(
                "One mechanic-day a week more or less changes the overdue days no more than chance"
                " does."
            )
        else:
            said.append(
                f"With one mechanic-day a week more it would have been {say_ends(more)},"
                f" with one less {say_ends(less)}."
            )
    return " ".join(said)


def _meet(one: Mapping[str, float], other: Mapping[str, float]) -> bool:
    """Whether two ranges have anything in common."""
    return one["low"] <= other["high"] and other["low"] <= one["high"]


def _whole(figure: float) -> str:
    return f"{round(figure):,}"


def whole_date(day: date) -> str:
    """Return a date as people write it."""
    return f"{day.day} {day:%B %Y}"


def say_ends(found: Mapping[str, float]) -> str:
    """Return two ends in words; one figure where they are the same."""
    low, high = round(found["low"]), round(found["high"])
    return f"{low:,}" if low == high else f"{low:,} to {high:,}"


def hindsight_rows(result: Mapping[str, Any]) -> list[HindsightRow]:
    """Return the table; what this past cannot tell has no row."""
    rows = []
    for name, title in TITLES.items():
        if name not in result["cannot_tell"]:
            was = "" if name in ONLY_PLANS else f"{round(result['was'][name]):,}"
            ranges = [say_ends(result[of][name]) for of in ("plans", "one_more", "one_less")]
            rows.append(HindsightRow(name, title, was, *ranges))
    return rows


def hindsight_assumed(result: Mapping[str, Any]) -> list[str]:
    """Return what was assumed, in plain words, and what cannot be told."""
    known = result["known"]
    said = [
        "Each night knows only what was read, done, booked or told before it. What was corrected"
        " since counts as corrected, and machines, intervals, people's weeks and skills are those"
        " of today.",
        "Machines were used, booked and broken as they really were. A service of a plan is done at"
        " what the meter really showed that day, between the readings before and after.",
        "Each night plans 14 days ahead, and may do with them what falls due in the 14 days after;"
        " the real night looks as many days ahead as the shop has set. A service done early begins"
        " its next interval as much sooner. The plans weigh that: each day early costs its share of"
        " the service and of one more visit. Where a visit is saved, hours are thrown away for it.",
        "Repairs and services without an interval stay on the day on which they were done, and"
        " take their time from the shop. Parts are taken to have been there.",
        "A plan comes from a short search, the same each time; the real night searches longer."
        f" {100 * PUT_OFF:.0f} % of the visits are taken to be put off by chance, and each service"
        f" takes as long as one of those in the book. {_chances(result['seeds'])}",
        "A machine is overdue on a day when one of its services is past the late end of its window"
        " as the day ends. A booking counts where a service that stops a machine runs past its"
        " window before the machine is back; in the book it went out anyway.",
        "Overtime is the work of a day beyond the hours that all mechanics together were there.",
        "One mechanic-day a week more is a person with every skill of the shop on its fullest"
        " weekday; one less is the mechanic with the most hours away on it.",
        "Nobody knows what people would have done otherwise with a plan in their hands: a customer"
        " might have come sooner, a machine might have been swapped.",
    ]
    if known["late_bookings"]:
        said.append(
            f"{counted(known['late_bookings'], 'booking')} came in after its first day and counts"
            " as known a week before it."
            if known["late_bookings"] == 1
            else f"{known['late_bookings']} bookings came in after their first day and count as"
            " known a week before it."
        )
    if known["unsure"]:
        said.append(
            f"Left out: {counted(known['unsure'], 'service')} of which nobody knows when it was"
            " last done."
        )
    return [*said, *result["cannot_tell"].values()]


def _chances(runs: int) -> str:
    if runs == 1:
        return "It was lived once, so how much of a difference is chance cannot be told."
    return f"The ranges are the least and the most of {runs} runs with other chances."


def hindsight_lines(rows: Sequence[HindsightRow]) -> list[str]:
    """Return the table as lines of text."""
    heads = ("", "as it was", "plans", "one day more", "one day less")
    table = [heads, *((r.title, r.was or "-", r.plans, r.more, r.less) for r in rows)]
    widths = [max(len(row[k]) for row in table) for k in range(len(heads))]
    return [
        "  ".join(
            cell.ljust(width) if k == 0 else cell.rjust(width)
            for k, (cell, width) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in table
    ]
