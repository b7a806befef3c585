"""A sheet that is finished, gone back to in the browser, and sent again."""

import pytest

from fleet.models import Finding, Measurement, ServiceRecord
from tests.scheduling.bench_data import bench_case
from tests.scheduling.views.test_job_page import address, filled

pytestmark = pytest.mark.django_db
SAYS = "This sheet has been in the book since"


@pytest.fixture
def case(client):
    case = bench_case()
    client.force_login(case.mechanic)
    return case


def send(client, case, **more):
    return client.post(address(case), filled(**more), follow=True).text


def test_the_same_again_is_answered_like_the_first_press(client, case):
    limit = f"limit_{case.service.limits.get().pk}"
    same = {"note": "plug was loose", limit: "250", "finding": "seat torn"}
    for _ in range(2):
        text = send(client, case, **same)
        assert SAYS not in text
        assert "1 entry in the book" in text
    assert ServiceRecord.objects.count() == Finding.objects.count() == 1


@pytest.mark.parametrize(
    ("other", "named"),
    [
        ({"note": "plug was tight"}, "with a note other than here"),
        ({"limit": "300"}, "with a measure other than here"),
        ({"note": "plug was tight", "limit": "300"}, "with a note and a measure other than here"),
        ({"finding": "seat gone"}, "with a finding other than here"),
    ],
)
def test_anything_else_is_told_apart_and_stays_on_the_page(client, case, other, named):
    limit = f"limit_{case.service.limits.get().pk}"

    def fields(given):
        return {limit if name == "limit" else name: value for name, value in given.items()}

    send(client, case, **fields({"note": "plug was loose", "limit": "250", "finding": "seat torn"}))
    text = send(client, case, **fields(other))
    assert SAYS in text
    assert named in text
    assert "correct the entry in the machine's book" in text.replace("&#x27;", "'")
    for value in other.values():
        assert value in text
    assert ServiceRecord.objects.get().note == "plug was loose"
    assert Measurement.objects.get().value == 250
    assert Finding.objects.get().text == "seat torn"


def test_where_something_is_other_a_new_finding_is_not_written_either(client, case):
    send(client, case, note="plug was loose")
    assert "Nothing was changed" in send(client, case, note="plug was tight", finding="seat gone")
    assert not Finding.objects.exists()
