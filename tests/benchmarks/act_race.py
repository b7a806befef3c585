"""One form of each act sent eight times at the same moment: whether it acted once.

    python -m tests.benchmarks.act_race [--rounds 200] [--presses 8]

Each round begins with an empty site, makes a yard in it, and lets every act be pressed by as many
browsers at once: a machine that is not safe at check-out, the release of its hold, check-out,
return, a hold, a finished job, a published plan.  Prints for each act how often it acted once, more
often or not at all, and the statuses that the presses heard.  On the database of DATABASE_URL,
which is emptied, or on SQLite in a folder of its own.
"""

import argparse
import sys
import time
from collections import Counter
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from datetime import timedelta
from threading import Barrier
from typing import Any
from unittest.mock import patch

from tests.benchmarks.bad_requests import set_up


@dataclass(frozen=True)
class Form:
    """What is sent, by whom, where; effects counts what it did in the database."""

    person: Any
    address: str
    fields: dict[str, Any]
    effects: Callable[[], int]


@dataclass
class Raced:
    """By act: how often it acted once, more often and never; the statuses that were heard."""

    effects: dict[str, Counter] = field(default_factory=dict)
    statuses: dict[str, Counter] = field(default_factory=dict)
    unlike: Counter = field(default_factory=Counter)

    @property
    def faults(self) -> int:
        """Rounds in which an act did otherwise than once, or failed, or was answered unlike."""
        wrong = sum(n for one in self.effects.values() for what, n in one.items() if what != 1)
        failed = sum(
            n for one in self.statuses.values() for status, n in one.items() if status > 499
        )
        return wrong + failed + self.unlike.total()


def press(form: Form, presses: int, key: str) -> list[Any]:
    """Let one form be sent by so many browsers at the same moment; return their answers."""
    from django.db import connection  # noqa: PLC0415
    from django.test import Client  # noqa: PLC0415

    from fleet.actions.press_once import KEY_FIELD  # noqa: PLC0415

    gate = Barrier(presses)

    def one(_: int) -> Any:
        client = Client(raise_request_exception=False, SERVER_NAME="127.0.0.1")
        client.force_login(form.person)
        gate.wait(120)
        try:
            return client.post(form.address, form.fields | {KEY_FIELD: key})
        finally:
            connection.close()

    with ThreadPoolExecutor(presses) as pool:
        return list(pool.map(one, range(presses)))


def race(raced: Raced, presses: int, acts: list[str]) -> None:
    """Let each of these acts be raced once, in a yard that is made for it."""
    from tests.factories import NOON  # noqa: PLC0415
    from tests.scheduling.busy_yard import SMALL, busy_yard  # noqa: PLC0415

    with patch("django.utils.timezone.now", lambda: NOON):
        yard = busy_yard(SMALL)
        for name in acts:
            form = ACTS[name](yard)
            before = form.effects()
            answers = press(form, presses, f"race {name}")
            counts = raced.effects.setdefault(name, Counter())
            counts[form.effects() - before] += 1
            heard = {(one.status_code, one.headers.get("Location")) for one in answers}
            raced.statuses.setdefault(name, Counter()).update(one.status_code for one in answers)
            if len(heard) > 1:
                raced.unlike[name] += 1


def _meters(yard: Any, more: int) -> dict[str, str]:
    return {"reading_hours": f"{yard.last_value + more}", "reading_distance": "330"}


def _hand_over(
    yard: Any, page: str, effects: Callable[[], int], booking: Any = None, **more: str
) -> Form:
    from django.urls import reverse  # noqa: PLC0415

    from tests.scheduling.counter_case import FINE  # noqa: PLC0415

    fields = {"form_key": f"{page}-{len(more)}", **_meters(yard, 1), **FINE, **more}
    return Form(yard.desk, reverse(page, args=[(booking or yard.booking).pk]), fields, effects)


def _not_safe(yard: Any) -> Form:
    from fleet.models import Finding, Hold, Machine  # noqa: PLC0415
    from tests import factories  # noqa: PLC0415
    from tests.factories import TODAY  # noqa: PLC0415

    machine = Machine.objects.get(tag="Q-2")
    booking = factories.Booking(machine=machine, first_day=TODAY, last_day=TODAY)

    def effects() -> int:
        hung = Hold.objects.filter(machine=machine).count()
        return max(hung, Finding.objects.filter(text="brakes fail").count())

    return _hand_over(yard, "check-out", effects, booking, unsafe="on", unsafe_text="brakes fail")


def _released(yard: Any) -> Form:
    from django.urls import reverse  # noqa: PLC0415

    from fleet.models import Hold, LoggedChange  # noqa: PLC0415
    from tests import factories  # noqa: PLC0415

    hold = Hold.objects.filter(machine=yard.machine, released_at=None).latest("pk")
    boss = factories.Person(shop=yard.desk.shop)
    return Form(
        boss, reverse("release-hold", args=[hold.pk]), {"note": "put right, tried"},
        LoggedChange.objects.filter(kind="hold", subject_id=hold.pk, act="released").count,
    )  # fmt: skip


def _gone(yard: Any) -> Form:
    return _hand_over(yard, "check-out", _over(yard, "out"))


def _back(yard: Any) -> Form:
    shown = f"{yard.last_value}"  # as it went: all happens at one moment
    return _hand_over(yard, "check-in", _over(yard, "back"), reading_hours=shown)


def _over(yard: Any, direction: str) -> Callable[[], int]:
    from fleet.models import HandOver  # noqa: PLC0415

    return lambda: HandOver.objects.filter(booking=yard.booking, direction=direction).count()


def _hung(yard: Any) -> Form:
    from django.urls import reverse  # noqa: PLC0415

    from fleet.models import Hold  # noqa: PLC0415

    fields = {"reason": "boom cracked", "owner": yard.mechanic.pk}
    return Form(
        yard.mechanic, reverse("hold-machine", args=[yard.machine.tag]), fields,
        lambda: Hold.objects.filter(reason="boom cracked").count(),
    )  # fmt: skip


def _finished(yard: Any) -> Form:
    from django.urls import reverse  # noqa: PLC0415

    from fleet.models import Finding, ServiceRecord  # noqa: PLC0415
    from tests.factories import TODAY  # noqa: PLC0415

    done = yard.planned("oil")
    fields = {
        "form_key": "a" * 32, "done": done, "minutes": "50", **_meters(yard, 0),
        "finding": "hose chafed", "gravity": "defect",
    }  # fmt: skip
    before = ServiceRecord.objects.count()

    def effects() -> int:
        found = Finding.objects.filter(text="hose chafed").count()
        return max(ServiceRecord.objects.count() - before, found)

    return Form(
        yard.mechanic, f"{reverse('job', args=[yard.machine.tag])}?day={TODAY}", fields, effects
    )


def _published(_: Any) -> Form:
    from django.urls import reverse  # noqa: PLC0415

    from fleet.models import Release  # noqa: PLC0415
    from tests import consequences, factories  # noqa: PLC0415
    from tests.complete_shop import complete  # noqa: PLC0415
    from tests.factories import NOON, TODAY  # noqa: PLC0415

    shop = factories.Shop()
    machine = complete(shop)
    plan = consequences.Plan(shop=shop, made_at=NOON, first_day=TODAY)
    job = consequences.PlannedJob(
        plan=plan, machine=machine, mechanic=shop.people.get(), day=TODAY + timedelta(days=1)
    )
    consequences.PlannedWork(job=job, service=machine.makeup.intervals.get().service)
    boss = factories.Person(shop=shop)
    return Form(boss, reverse("publish"), {"days": "7"}, Release.objects.count)


ACTS: dict[str, Callable[[Any], Form]] = {
    "check out": _gone,
    "return": _back,
    "finish": _finished,
    "hold": _hung,
    "release": _released,
    "not safe": _not_safe,
    "publish": _published,
}
"""In the order in which they follow each other in one yard."""


def told(raced: Raced) -> str:
    """Return a line for each act."""
    lines = []
    for name, effects in raced.effects.items():
        often = ", ".join(f"{n} x {what}" for what, n in sorted(effects.items()))
        heard = ", ".join(f"{status}: {n}" for status, n in sorted(raced.statuses[name].items()))
        lines.append(f"{name}: rounds by effects {often}; {heard}; unlike {raced.unlike[name]}\n")
    return "".join(lines)


def main() -> int:
    """Race and tell; the status is 1 where an act did otherwise than once."""
    from django.core.management import call_command  # noqa: PLC0415

    said = argparse.ArgumentParser(description=__doc__)
    said.add_argument("--rounds", type=int, default=200)
    said.add_argument("--presses", type=int, default=8)
    want = said.parse_args()
    set_up()
    raced, began = Raced(), time.monotonic()
    for _ in range(want.rounds):
        call_command("flush", verbosity=0, interactive=False)
        race(raced, want.presses, list(ACTS))
    sys.stdout.write(told(raced))
    sys.stdout.write(
        f"{want.rounds} rounds of {want.presses} presses, {raced.faults} faults,"
        f" {time.monotonic() - began:.0f} s\n"
    )
    return 1 if raced.faults else 0


if __name__ == "__main__":
    sys.exit(main())
