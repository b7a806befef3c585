"""Published days that changed: published again, and their mechanics told what came and went."""

from datetime import timedelta

import pytest

from scheduling.actions.replan import publish_days
from scheduling.actions.republish import tell_released
from scheduling.models import Notice
from tests import factories
from tests.factories import NOON, TODAY
from tests.scheduling.bench_data import bench_case

pytestmark = pytest.mark.django_db
TOMORROW = TODAY + timedelta(days=1)


@pytest.fixture
def case():
    return bench_case()


@pytest.fixture
def before(case):
    earlier = NOON - timedelta(hours=1)
    return publish_days(case.mechanic.shop, TODAY, 7, by=case.manager, now=earlier)


def tell(case, before, by=None):
    return tell_released(case.mechanic.shop, before, by=by or case.manager, now=NOON)


def test_nothing_changed_is_nothing_told(case, before):
    assert tell(case, before) is None
    assert not Notice.objects.exists()


def test_work_moved_is_told_to_its_mechanic_with_both_days(case, before):
    case.job.day = TOMORROW
    case.job.save()
    release = tell(case, before)
    assert release.jobs[0]["day"] == TOMORROW.isoformat()
    notice = Notice.objects.get()
    assert notice.person == case.mechanic
    assert notice.subject == "Your list has changed: Mon 2 Mar, Tue 3 Mar"
    assert "Mon 2 Mar: no longer Q-1, Engine oil and filter" in notice.text
    assert "Tue 3 Mar: now Q-1, Engine oil and filter" in notice.text


def test_work_given_to_another_is_told_to_both(case, before):
    case.job.mechanic = factories.Mechanic(shop=case.mechanic.shop)
    case.job.save()
    tell(case, before)
    assert set(Notice.objects.values_list("person", flat=True)) == {
        case.mechanic.pk,
        case.job.mechanic.pk,
    }


def test_who_changed_it_is_not_told(case, before):
    case.job.day = TOMORROW
    case.job.save()
    tell(case, before, by=case.mechanic)
    assert not Notice.objects.exists()


def test_work_that_is_gone_is_no_change_of_a_list(case, before):
    case.work.delete()
    assert tell(case, before) is None


def test_what_lies_behind_or_was_never_published_is_left_alone(case, before):
    case.job.day = TOMORROW
    case.job.save()
    assert tell(case, None) is None
    before.last_day = TODAY - timedelta(days=1)
    assert tell(case, before) is None
