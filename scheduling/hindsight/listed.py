"""What stood on the lists of some days: as each day began, and as it had been published before."""

from collections.abc import Iterable
from datetime import date, datetime, timedelta
from typing import Any

from django.db.models import Q

from fleet.models import Finding, KeptWork, Machine, Person, Release, Service, Shop
from fleet.work_keys import RepairKey, ServiceKey, key_if_any
from scheduling.hindsight.list_entries import ListEntry


def load_entries(shop: Shop, first: date, last: date) -> list[ListEntry]:
    """Load the entries of all lists for these days, with seven queries at most."""
    kept = _kept(shop, first, last)
    begun = {entry.day for entry in kept}
    known = {(entry.work_key, entry.day) for entry in kept}
    published = _published(shop, first, last, begun)
    fresh = [entry for entry in published if (entry.work_key, entry.day) not in known]
    return sorted([*kept, *fresh], key=lambda one: (one.day, one.tag, one.title, one.work_key))


def _kept(shop: Shop, first: date, last: date) -> list[ListEntry]:
    """Return the entries of kept lists; as bare values, since the night reads a year of them."""
    people = {one.pk: str(one) for one in Person.objects.filter(_on_lists(shop))}
    rows = KeptWork.objects.filter(kept_day__shop=shop, kept_day__day__range=(first, last))
    fields = ("kept_day__day", "kept_day__kept_at", "machine_id", "machine__tag", "work_key",
              "title", "service_id", "finding_id", "mechanic_id", "minutes")  # fmt: skip
    return [
        ListEntry(
            day, made, machine, tag, key, title, service, finding,
            mechanic=people.get(who or 0, ""), mechanic_id=who, minutes=minutes,
        )
        for day, made, machine, tag, key, title, service, finding, who, minutes in (
            rows.values_list(*fields)
        )
    ]  # fmt: skip


def _on_lists(shop: Shop) -> Q:
    """Return whose work was on a shop's lists, lent hands too."""
    on_lists = KeptWork.objects.filter(kept_day__shop=shop).order_by().values("mechanic").distinct()
    return Q(pk__in=on_lists)


def _published(shop: Shop, first: date, last: date, begun: set[date]) -> list[ListEntry]:
    """Return what the last release before each day had promised for it."""
    promised = _promised(shop, first, last)
    finder = Finder(shop, {job["work_key"] for _, jobs in promised.values() for job in jobs})
    found = []
    for day, (at, jobs) in promised.items():
        for job in jobs:
            entry = finder.entry(job, day, at, moved=day in begun)
            if entry:
                found.append(entry)
    return found


def _promised(
    shop: Shop, first: date, last: date
) -> dict[date, tuple[datetime, list[dict[str, str]]]]:
    """Return by day when it was last published before it began, and the jobs published for it."""
    rows = Release.objects.filter(shop=shop, first_day__lte=last, last_day__gte=first)
    found = {}
    for release in rows.order_by("at", "pk"):
        day = max(first, release.first_day)
        while day <= min(last, release.last_day):
            if release.at < shop.span_of(day)[0]:
                of_day = [job for job in release.jobs if job["day"] == day.isoformat()]
                found[day] = (release.at, of_day)
            day += timedelta(days=1)
    return found


class Finder:
    """Turns the keys of published work back into machines, services and findings."""

    def __init__(self, shop: Shop, keys: Iterable[str]) -> None:
        known = {key for text in keys if (key := key_if_any(text))}
        services = [key for key in known if isinstance(key, ServiceKey)]
        ids = {key.finding for key in known if isinstance(key, RepairKey)}
        machines = Machine.objects.filter(pk__in={key.machine for key in services})
        self.machines = dict(machines.values_list("pk", "tag"))
        self.services = Service.objects.in_bulk({key.service for key in services})
        self.findings = {
            row.pk: row for row in Finding.objects.filter(pk__in=ids).select_related("machine")
        }
        self.people = {one.username: one for one in Person.objects.filter(shop=shop)}

    def entry(
        self, job: dict[str, str], day: date, made: datetime, *, moved: bool
    ) -> ListEntry | None:
        """Return the entry of a published piece of work; None where its machine has gone."""
        work = self._work(job["work_key"])
        if not work:
            return None
        person = self.people.get(job["mechanic"])
        return ListEntry(
            day=day,
            made=made,
            work_key=job["work_key"],
            mechanic=str(person or job["mechanic"]),
            mechanic_id=person.pk if person else None,
            moved=moved,
            **work,
        )

    def _work(self, text: str) -> dict[str, Any]:
        """Return machine, title and minutes of a piece of work; nothing where it has gone."""
        key = key_if_any(text)
        if key is None:
            return {}
        if isinstance(key, RepairKey):
            finding = self.findings.get(key.finding)
            return {
                "machine": finding.machine_id, "tag": finding.machine.tag, "title": finding.text,
                "service": None, "finding": finding.pk, "minutes": finding.minutes,
            } if finding else {}  # fmt: skip
        tag, service = self.machines.get(key.machine), self.services.get(key.service)
        return {
            "machine": key.machine, "tag": tag, "title": service.name,
            "service": service.pk, "finding": None, "minutes": service.minutes,
        } if tag and service else {}  # fmt: skip
