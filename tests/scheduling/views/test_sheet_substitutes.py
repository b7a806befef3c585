"""A substitute on the job sheet: filled in as the pull list gives it, booked from its own shelf."""

import pytest
from django.db import connection
from django.db.models import Sum
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from fleet.models import FittingPart, Part, ServiceNeed, ServiceRecord, StockMovement
from scheduling.forms.job_form import JobForm
from scheduling.queries.job_sheet import job_sheet
from tests import consequences, factories
from tests.factories import NOON, TODAY, key_of
from tests.pages import words
from tests.scheduling.bench_data import bench_case

pytestmark = pytest.mark.django_db


@pytest.fixture
def case(client, monkeypatch):
    """The oil filter is out; of the long one, which does in its place, three lie there."""
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOON)
    case = bench_case()
    client.force_login(case.mechanic)
    other = factories.Part(number="OF-2", name="long filter")
    case.machine.makeup.fitting_parts.update(instead=other)
    lie(case, named(), 0)
    lie(case, other, 3)
    return case


def named():
    return Part.objects.get(number="OF-1")


def long_filter():
    return Part.objects.get(number="OF-2")


def lie(case, part, quantity):
    StockMovement.objects.create(
        part=part, shop=case.machine.yard.shop, quantity=quantity, reason="count", at=NOON
    )


def there(part):
    return part.movements.aggregate(sum=Sum("quantity"))["sum"]


def address(case):
    return f"{reverse('job', args=[case.machine.tag])}?day={TODAY}"


def fields(client, case):
    """Return what is typed in beforehand, by part number, and the hints."""
    form = client.get(address(case)).context["form"]
    rows = {row.label.split()[0]: row for row in form.part_rows() if row.label.startswith("OF")}
    return (
        {number: row.value() for number, row in rows.items()},
        {number: str(row.help_text) for number, row in rows.items()},
    )


def finish(client, case, **parts):
    typed = {f"part_{Part.objects.get(number=n.replace('_', '-')).pk}": v for n, v in parts.items()}
    sent = {"form_key": "a" * 32, "done": [key_of("Q-1", "oil")], "reading_hours": "125.5"}
    answer = client.post(address(case), sent | typed)
    assert answer.status_code == 302
    return ServiceRecord.objects.get()


def test_it_is_typed_in_with_the_sentence_why_and_both_may_be_changed(client, case):
    typed, hints = fields(client, case)
    assert typed == {"OF-1": "", "OF-2": "1"}
    assert hints["OF-2"] == (
        "In place of OF-1 oil filter: none on the shelf. "
        "The pull list gives this one; change it if you took another."
    )
    assert "In place of OF-1 oil filter: none on the shelf." in words(client.get(address(case)))


def test_the_named_part_is_typed_in_while_it_is_there(client, case):
    lie(case, named(), 1)
    typed, hints = fields(client, case)
    assert typed == {"OF-1": "1", "OF-2": ""}
    assert hints == {"OF-1": "", "OF-2": "Fits in place of OF-1 oil filter."}


def test_what_lies_there_for_other_work_is_said(client, case):
    lie(case, named(), 1)
    machine = factories.Machine(yard=case.machine.yard)
    FittingPart.objects.create(makeup=machine.makeup, place="oil filter", part=named())
    job = consequences.PlannedJob(plan=case.job.plan, machine=machine, mechanic=case.mechanic)
    consequences.PlannedWork(job=job, machine=machine, service=case.service)
    typed, hints = fields(client, case)
    assert typed == {"OF-1": "", "OF-2": "1"}
    assert "those on the shelf are for other work" in hints["OF-2"]


def test_too_few_for_a_place_are_left_there(client, case):
    case.machine.makeup.fitting_parts.update(quantity=2)
    lie(case, named(), 1)
    typed, hints = fields(client, case)
    assert typed == {"OF-1": "", "OF-2": "2"}
    assert "too few on the shelf" in hints["OF-2"]


def test_a_part_that_is_also_its_own_need_is_one_field(client, case):
    """The long filter sits at another place of the machine in its own right."""
    ServiceNeed.objects.create(service=case.service, place="second filter")
    FittingPart.objects.create(
        makeup=case.machine.makeup, place="second filter", part=long_filter()
    )
    assert fields(client, case)[0] == {"OF-1": "", "OF-2": "2"}


def test_finishing_books_it_from_its_own_shelf_and_the_book_says_which_was_used(client, case):
    record = finish(client, case, OF_1="", OF_2="1")
    assert (there(named()), there(long_filter())) == (0, 2)
    (used,) = record.parts_used.all()
    assert (used.part, used.quantity) == (long_filter(), -1)
    page = words(client.get(reverse("record", args=[record.pk])))
    assert "1 x OF-2 long filter" in page
    assert "In place of OF-1 oil filter" in page


def test_the_mechanic_may_have_taken_the_named_part_after_all(client, case):
    lie(case, named(), 1)
    record = finish(client, case, OF_1="1", OF_2="")
    assert (there(named()), there(long_filter())) == (0, 3)
    page = words(client.get(reverse("record", args=[record.pk])))
    assert "In place of" not in page


def test_what_was_used_is_put_right_and_both_shelves_follow(client, case):
    record = finish(client, case, OF_1="", OF_2="1")
    address = reverse("record", args=[record.pk])
    client.force_login(case.manager)
    form = client.get(address).context["form"]
    typed = {name: form[name].value() for name in form.fields}
    typed = {name: "" if value is None else value for name, value in typed.items()}
    typed |= {
        f"part_{long_filter().pk}": "", "more_part": named().pk, "more_quantity": "1",
        "why": "it was the short one",
    }  # fmt: skip
    assert client.post(address, typed).status_code == 302
    assert (there(named()), there(long_filter())) == (-1, 3)
    later = ServiceRecord.objects.get(corrects=record)
    assert [one.part for one in later.parts_used.all()] == [named()]


def test_a_sheet_that_was_opened_before_is_taken_whatever_the_shelf_gives_by_now(client, case):
    """The substitute was typed in; the named part came meanwhile."""
    lie(case, named(), 5)
    record = finish(client, case, OF_1="", OF_2="1")
    assert [one.part for one in record.parts_used.all()] == [long_filter()]


def test_a_reading_alone_is_taken_though_the_shelf_moved_since_the_sheet_was_opened(client, case):
    """The parts came along as they were typed in then; nothing of them was taken."""
    shown = {f"part_{named().pk}": "", f"part_{long_filter().pk}": "1"}
    lie(case, named(), 5)
    sent = {"form_key": "a" * 32, "reading_hours": "125.5"}
    assert client.post(address(case), sent | shown).status_code == 302
    changed = {f"part_{long_filter().pk}": "2", "form_key": "b" * 32}
    page = client.post(address(case), sent | shown | changed)
    assert "Tick the work that this was taken for" in page.text
    assert there(long_filter()) == 3


def test_a_form_that_is_sent_asks_nothing_of_the_shelf(case):
    sheet = job_sheet(type(case.machine).objects.all(), "Q-1", TODAY)
    sent = {"done": [key_of("Q-1", "oil")], "reading_hours": "125.5"}
    with CaptureQueriesContext(connection) as asked:
        assert JobForm(sheet, sent, case.mechanic).is_valid()
    assert not [query for query in asked.captured_queries if "stockmovement" in query["sql"]]


def test_the_sheet_says_why_in_spanish(client, case):
    case.mechanic.language = "es"
    case.mechanic.save()
    page = words(client.get(address(case)))
    assert "no hay en el estante. La lista de surtido da esta; cámbielo si tomó otra." in page
    assert "The pull list" not in page
