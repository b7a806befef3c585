"""The Celery application; `celery -A fleet worker -B` runs worker and schedule in one."""

import os

from celery import Celery

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "fleet.settings")

app = Celery("evener")
app.set_default()  # for the threads of a web server too: "current" holds for one thread alone
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks(["scheduling"])
