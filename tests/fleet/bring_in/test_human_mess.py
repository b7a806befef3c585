"""Cells as people write them, drawn: what is meant comes out, whatever the writing."""

from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.bring_in.bring_people import week_of
from fleet.bring_in.date_cells import DateOrder, look_at_order, moment_of
from fleet.bring_in.every_words import recurs
from fleet.bring_in.headings import find_heading
from fleet.bring_in.name_matching import NamesOf, SeveralFit
from fleet.bring_in.number_cells import DecimalMark, mark_of, parse_cell
from fleet.bring_in.sheet_kinds import FIELDS, NEEDS, SheetKind

NOW = datetime(2026, 11, 20, 12, tzinfo=UTC)
DAYS = st.dates(date(2015, 1, 1), date(2026, 11, 1))


def grouped(value, mark):
    other = "," if mark == "." else "."
    return f"{value:,.1f}".replace(",", "x").replace(".", mark).replace("x", other)


@given(
    st.lists(st.integers(0, 99_999_999).map(lambda tenths: tenths / 10), min_size=1, max_size=30),
    st.sampled_from(".,"),
    st.sampled_from(["", " h", "h", " mi", " km "]),
)
def test_numbers_of_a_column_with_thousands_and_units(values, mark, unit):
    texts = [grouped(value, mark) + unit for value in values]
    found = mark_of(texts)
    assert found == DecimalMark(mark)
    assert [parse_cell(text, found) for text in texts] == [(v, unit.strip()) for v in values]


FORMS = [
    "{d.year}-{d.month:02}-{d.day:02}", "{d:%d %b %Y}", "{d:%b} {d.day}, {d.year}",
    "{d.day}.{d.month}.{d.year}", "{d:%A}, {d.day} {d:%B} {d.year}", "{d:%d-%b-%y}",
]  # fmt: skip
CLOCKS = ["", " 5:00 pm", " 17:00", " 5 PM", ", 5:00 p.m.", " 17h00", " 17.00"]


@given(DAYS, st.sampled_from(FORMS), st.sampled_from(CLOCKS))
def test_a_day_and_a_time_in_many_forms(day, form, clock):
    when = moment_of(form.format(d=day) + clock, UTC, NOW, None)
    assert when.at.date() == day
    assert when.day_only == (not clock)
    assert when.day_only or when.at.hour == 17


@given(st.lists(DAYS, min_size=1, max_size=40), st.sampled_from(DateOrder), st.sampled_from("/-"))
def test_the_order_of_day_and_month_comes_from_the_whole_column(days, order, mark):
    def write(day):
        pair = (day.day, day.month) if order is DateOrder.DAY_FIRST else (day.month, day.day)
        return f"{pair[0]}{mark}{pair[1]}{mark}{day.year}"

    texts = [write(day) for day in days]
    seen = look_at_order(texts)
    told = any(day.day > 12 for day in days)
    assert seen.order == (order if told else None)
    assert seen.ambiguous == (not told and any(day.day != day.month for day in days))
    read = [moment_of(text, UTC, NOW, seen.order or order).at.date() for text in texts]
    assert read == days


def test_dates_still_to_come_speak_against_an_order():
    """10/12/2026 in a list of past services of 20 November cannot be of December."""
    seen = look_at_order(["10/12/2026", "9/11/2026"], NOW.date())
    assert seen.order is DateOrder.MONTH_FIRST


def test_a_serial_date_of_a_spreadsheet():
    assert moment_of("45321", UTC, NOW, None).at.date() == date(2024, 1, 30)
    assert moment_of("45321.5", UTC, NOW, None).at == datetime(2024, 1, 30, 12, tzinfo=UTC)


TAGS = ["MX-02", "Q-7", "SL-11", "TR 4"]


@given(st.sampled_from(TAGS), st.randoms(use_true_random=False))
def test_a_tag_in_other_case_with_other_blanks_and_dashes(tag, random):
    names = NamesOf.of([(one, one) for one in TAGS], loose=False)
    parts = [c for c in tag if c.isalnum()]
    messy = "".join(random.choice([c.lower(), c.upper()]) + random.choice(["", " ", "-", "."])
                    for c in parts)  # fmt: skip
    assert names.find(messy) == tag


def test_what_fits_two_is_told_with_both():
    with pytest.raises(SeveralFit, match=r"MX-02, MX\.02"):
        NamesOf.of([("MX-02", 1), ("MX.02", 2)], loose=False).find("mx 02")


SERVICES = ["Engine oil and filter", "250 h service", "500 h service", "Grease", "Air filter"]


@pytest.mark.parametrize(
    ("written", "meant"),
    [
        ("engine oil & filter", "Engine oil and filter"),
        ("Filter and engine oil", "Engine oil and filter"),
        ("Engine oil and fitler", "Engine oil and filter"),
        ("250h service", "250 h service"),
        ("service 500 h", "500 h service"),
        ("750 h service", None),  # its number is another
        ("Oil", None),
        ("GREASE", "Grease"),
    ],
)
def test_services_are_found_by_forgiving_names(written, meant):
    assert NamesOf.of([(one, one) for one in SERVICES]).find(written) == meant


@given(st.sampled_from(SheetKind), st.data())
def test_a_sheet_is_known_by_its_headings_in_any_order_and_language(kind, data):
    fields = dict(FIELDS[kind])
    chosen = {name for group in NEEDS[kind] for name in [data.draw(st.sampled_from(group))]}
    if kind is SheetKind.INTERVALS:
        chosen |= {"source"}
    titles = [data.draw(st.sampled_from(fields[name].words)).title() for name in sorted(chosen)]
    titles = data.draw(st.permutations(titles))
    heading = find_heading([(1, ["Our list"]), (4, list(titles))], kind=kind)
    assert heading.kind is kind
    assert heading.line == 4 or len(chosen) < 2


@pytest.mark.parametrize(
    ("text", "unit", "meter", "months", "days"),
    [
        ("250 h or 12 months", "", (250, "h"), 12, None),
        ("every 3,000 mi", "", (3000, "mi"), None, None),
        ("250", "h", (250, "h"), None, None),
        ("2 years", "", None, 24, None),
        ("weekly", "", None, None, 7),
        ("100 h / 6 months, whichever first", "", (100, "h"), 6, None),
        ("6 meses", "", None, 6, None),
    ],
)
def test_how_often_in_trade_words(text, unit, meter, months, days):
    said = recurs(text, unit)
    assert (said.meter, said.months, said.days) == (meter, months, days)


@pytest.mark.parametrize("text", ["3½ years", "2 1/2 years", "½ year", "2½", "250½ h", "1⁄2"])
def test_no_part_of_a_number_is_dropped_without_a_word(text):
    for read in (recurs, parse_cell):
        with pytest.raises(ValueError, match="has a fraction; write it with a point"):
            read(text)


@pytest.mark.parametrize(
    ("text", "hours"),
    [
        ("40", dict.fromkeys(range(5), 8)),
        ("8", dict.fromkeys(range(5), 8)),
        ("Mon-Fri 8", dict.fromkeys(range(5), 8)),
        ("Mon-Thu 9, Fri 4", {0: 9, 1: 9, 2: 9, 3: 9, 4: 4}),
        ("Mo-Fr 7-16", dict.fromkeys(range(5), 9)),
        ("", {}),
    ],
)
def test_working_hours(text, hours):
    assert week_of(text) == hours


def test_a_heading_over_two_rows():
    head = [(1, ["Machine", "Meter", "", "Bought"]), (2, ["tag", "hours", "miles", ""]),
            (3, ["Q-1", "12", "300", "2021-01-01"])]  # fmt: skip
    heading = find_heading(head, "Fleet")
    assert heading.line in (1, 2)


def test_a_day_is_the_day_of_the_yard():
    day = date(2026, 3, 2)
    late = moment_of("2026-03-02 23:30", UTC, NOW, None)
    assert late.at - datetime(2026, 3, 2, tzinfo=UTC) == timedelta(hours=23, minutes=30)
    assert late.at.date() == day
