"""Loading as a whole: the same again from the same seed, all or nothing."""

import os
import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest

from fleet.demo import load_fleet as loading
from fleet.demo.load_fleet import NotEmptyError, Wanted, load
from fleet.models import DemoMark, Machine, Reading, Service, Shop
from tests import factories
from tests.fleet.demo.conftest import TODAY

ROOT = Path(__file__).resolve().parents[3]

DIGEST = """
import hashlib
from datetime import date
import django
django.setup()
import numpy as np
from fleet.demo.load_fleet import world_of
from fleet.demo.roster import roster
from fleet.demo.scenario import scenario
from fleet.demo.stories import tell
told = scenario()
world = world_of(told, date(2026, 11, 25), 7)
lived = [tell(np.random.default_rng([7, u.index]), u, world) for u in roster(told)]
facts = [(h.visits, h.looks, h.hires, h.dials) for h in lived]
print(hashlib.sha256(repr(facts).encode()).hexdigest())
"""


def digest(hash_seed):
    env = os.environ | {"PYTHONHASHSEED": str(hash_seed)}
    env["DJANGO_SETTINGS_MODULE"] = "fleet.settings"
    run = subprocess.run(
        [sys.executable, "-c", DIGEST],
        cwd=ROOT,
        env=env,
        capture_output=True,
        text=True,
        check=True,
    )
    return run.stdout.strip()


def test_the_same_seed_and_day_live_the_same_in_every_process():
    assert digest(1) == digest(2)


@pytest.mark.django_db
def test_a_small_demo_holds_as_many_machines_as_asked():
    readings = load(Wanted(TODAY, seed=3, machines=12))
    assert Machine.objects.count() == 12
    assert Reading.objects.count() == readings


@pytest.mark.django_db
def test_another_day_moves_all_dates_along():
    load(Wanted(date(2027, 3, 1), machines=12))
    last = Reading.objects.latest("read_at").read_at.date()
    assert date(2027, 2, 20) < last <= date(2027, 3, 1)
    assert DemoMark.objects.get().loaded_for == date(2027, 3, 1)


@pytest.mark.django_db
def test_a_large_demo_has_more_shops_with_mechanics_of_their_own(monkeypatch):
    monkeypatch.setattr("fleet.demo.roster.MACHINES_A_SHOP", 10)
    load(Wanted(TODAY, machines=20))
    assert Shop.objects.count() == 2
    assert all(shop.people.filter(role="mechanic").exists() for shop in Shop.objects.all())


@pytest.mark.django_db(transaction=True)
def test_cut_off_in_the_middle_it_leaves_nothing(monkeypatch):
    def cut(*args, **kwargs):
        raise KeyboardInterrupt

    monkeypatch.setattr(loading, "write_book", cut)
    with pytest.raises(KeyboardInterrupt):
        load(Wanted(TODAY, machines=12))
    assert not Machine.objects.exists()
    assert not Service.objects.exists()
    assert not DemoMark.objects.exists()


@pytest.mark.django_db
def test_it_refuses_a_database_of_ones_own_machines():
    factories.Machine()
    with pytest.raises(NotEmptyError, match="EVENER_DATA"):
        load(Wanted(TODAY))
    assert Machine.objects.count() == 1


@pytest.mark.django_db
def test_progress_is_told_up_to_the_end():
    told = []
    load(Wanted(TODAY, machines=12), lambda done, total: told.append((done, total)))
    assert told[-1] == (12, 12)
