"""The Celery application; `celery -A fleet worker -B` runs worker and schedule in one."""

import os

from celery import Celery
from celery.signals import task_postrun, task_prerun, worker_init

from fleet.structured_logs import job_begins, job_ends

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "fleet.settings")

app = Celery("evener")
app.set_default()  # for the threads of a web server too: "current" holds for one thread alone
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks(["scheduling"])


task_prerun.connect(job_begins, weak=False)
task_postrun.connect(job_ends, weak=False)


@worker_init.connect
def refuse_to_work_on_old_tables(**_: object) -> None:
    """Stop a worker at its start whose database is behind: each of its tasks would fail."""
    from fleet.queries.tables_behind import say_behind  # noqa: PLC0415  Django is set up by now

    if behind := say_behind():
        raise SystemExit(f"No work is done: {behind}, then start the worker again.")
