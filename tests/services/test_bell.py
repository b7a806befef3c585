"""A queue that is down keeps nobody waiting: what was owed stays owed, and the page goes on."""

import os
import subprocess
import sys

from django.conf import settings

from tests.services.sink import free_port

RING = """
import time, django
django.setup()
from scheduling.outbox.entries import ring
began = time.monotonic()
for pk in range(20):
    ring(pk)
print(time.monotonic() - began)
"""


def test_twenty_rings_with_redis_down_take_no_time(tmp_path):
    environment = os.environ | {
        "DJANGO_SETTINGS_MODULE": "fleet.settings",
        "EVENER_DATA": str(tmp_path),
        "REDIS_URL": f"redis://127.0.0.1:{free_port()}/0",
    }
    ran = subprocess.run(
        [sys.executable, "-c", RING], env=environment, cwd=settings.ROOT, capture_output=True,
        text=True, check=True, timeout=120,
    )  # fmt: skip
    assert float(ran.stdout) < 5
    assert ran.stderr.count("the sweep will look") == 20
