"""Where the jobs that parts were ordered for stand by now: a plan moves, an order line does not."""

from collections.abc import Iterable

from fleet.models import OrderLine
from scheduling.models import PlannedWork


def tell_days_now(lines: Iterable[OrderLine]) -> None:
    """Tell each job of lines that wait for their part its shop day of now; one query.

    A job that was on no shop day when its part was asked for is a later time of its service, and
    the plan has the next time alone; so it is told none.
    """
    jobs = [
        job
        for line in lines
        if line.received_at is None and line.dropped_at is None
        for job in line.jobs.all()
        if job.planned
    ]
    rows = PlannedWork.objects.filter(
        job__isnull=False,
        machine__in={job.machine_id for job in jobs},
        service__in={job.service_id for job in jobs},
    )
    days = {
        (machine, service): day
        for machine, service, day in rows.values_list("machine", "service", "job__day")
    }
    for job in jobs:
        job.stands_on = days.get((job.machine_id, job.service_id))
