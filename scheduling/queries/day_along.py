"""The addresses of a mechanic's day and of a hand's round: what opens without a signal too."""

from datetime import date
from urllib.parse import urlencode

from django.db.models import Count, Q
from django.urls import reverse

from fleet.models import FindingPhoto, Person, Role
from fleet.queries.mine import yards_of
from fleet.queries.rounds import A_PAGE, machines_on_round, meters_of
from scheduling.models import PlannedJob
from scheduling.queries.batch_list import on_day

MOST_YARDS = 6
MOST_FINDINGS = 20
"""Findings with photos: those on the machines of the list that were seen last."""
MOST_PAGES = 5
"""Pages of one yard's meter round: 300 meters, more than a person walks past in a day."""
MOST_LABELS = 100
"""Pages of labels of a hand's round: more machines than a person walks past on one."""


def labels_along(person: Person) -> list[str]:
    """Return the pages that the labels of a hand's round lead to, the nearest first; one query.

    A mechanic's are those of their list, which `day_along` names.
    """
    if person.role != Role.HAND or person.manages:
        return []
    near = machines_on_round(person).values_list("pk", flat=True)[:MOST_LABELS]
    return [reverse("scan", args=[machine]) for machine in near]


def day_along(person: Person, mechanic: Person | None, day: date) -> list[str]:
    """Return the addresses of list, sheets, procedures, labels' pages, photos and meter round.

    Of a ranch hand, who has no list, the meter round.  Four queries, however long the day.
    """
    if person.role == Role.HAND and not person.manages:
        return _rounds(person)
    bench, on_list = reverse("bench"), urlencode({"day": day.isoformat()})
    found = [bench, f"{bench}?{on_list}"]
    if mechanic is not None:
        whose = urlencode({"day": day.isoformat(), "mechanic": mechanic.username})
        found.append(f"{bench}?{whose}")
        mine = Q(mechanic=mechanic) | Q(second=mechanic)
        rows = PlannedJob.objects.filter(on_day(day), mine).order_by("pk")
        machines = set()
        for tag, machine, service in rows.values_list("machine__tag", "machine", "work__service"):
            found += [f"{reverse('job', args=[tag])}?{on_list}", reverse("scan", args=[machine])]
            found.append(reverse("faults", args=[tag]))
            machines.add(machine)
            if service:
                found.append(reverse("procedure", args=[service]))
        found += [reverse("finding", args=[pk]) for pk in _with_photos(machines)]
    return list(dict.fromkeys([*found, *_rounds(person)]))


def _with_photos(machines: set[int]) -> list[int]:
    """Return the findings on these machines that have photos, the latest first."""
    rows = FindingPhoto.objects.filter(finding__machine__in=machines, struck_at=None)
    found = rows.order_by("-finding__seen_at").values_list("finding", flat=True)
    return list(dict.fromkeys(found))[:MOST_FINDINGS]


def _rounds(person: Person) -> list[str]:
    """Return the pages of the meter round, the yard that opens first with all of its pages."""
    round_ = reverse("meter-round")
    named = [yard.pk for yard in yards_of(person)]
    home = person.home_yard_id if person.role == Role.HAND else None
    yards = sorted(named, key=lambda yard: yard != home)[:MOST_YARDS]
    count = dict(_meters(person, yards))
    found = [round_]
    for number, yard in enumerate(yards):
        pages = -(-count.get(yard, 0) // A_PAGE) if number == 0 else 1
        found.append(f"{round_}?{urlencode({'yard': yard})}")
        found += [
            f"{round_}?{urlencode({'yard': yard, 'page': page})}"
            for page in range(2, min(pages, MOST_PAGES) + 1)
        ]
    return found


def _meters(person: Person, yards: list[int]) -> list[tuple[int, int]]:
    rows = meters_of(person).filter(machine__yard__in=yards).order_by().select_related(None)
    counted = rows.values("machine__yard").annotate(count=Count("pk"))
    return list(counted.values_list("machine__yard", "count"))
