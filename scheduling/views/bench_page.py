"""The mechanic's bench: the day's batch list and pull list, on phone and on paper."""

from datetime import date, datetime

from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import path, reverse
from django.utils import timezone
from django.utils.http import content_disposition_header
from django.views.decorators.http import require_safe

from fleet.access import roles, signed_in
from fleet.models import Person, Role, Units
from fleet.queries.last_act import last_act
from fleet.queries.machine_called import sought_by_label
from fleet.queries.mine import day_of, home_shop
from fleet.queries.open_holds import open_holds
from fleet.queries.who_works import machines_at_work, mechanics_open_to
from scheduling.queries.batch_list import BatchList, ListedJob, batch_list, next_day, with_steps
from scheduling.queries.card_takes import CardTake, card_takes
from scheduling.queries.day_cautions import cautions_of
from scheduling.queries.day_paper import JobCard, day_paper
from scheduling.queries.listed_order import in_order
from scheduling.queries.pull_list import PullList, pull_list
from scheduling.views.job_card_file import job_card_file

FIRST_ASKED, LAST_ASKED = date(1900, 1, 1), date(2199, 12, 31)
"""Days that can be asked for: the calendar's own ends have no week around them."""


def asked_day(request: HttpRequest, today: date) -> date:
    """Return the day in the address, or today with a word if it cannot be read."""
    text = request.GET.get("day", "")
    if not text:
        return today
    try:
        day = date.fromisoformat(text)
    except ValueError:
        messages.error(request, f"“{text}” is not a day; write it as 2026-03-31. This is today.")
        return today
    if not FIRST_ASKED <= day <= LAST_ASKED:
        messages.error(request, f"No shop has work on {text}. This is today.")
        return today
    return day


def chosen_mechanic(request: HttpRequest, mechanics: list[Person]) -> Person | None:
    """Return the mechanic named in the address, or the first."""
    name = request.GET.get("mechanic", "")
    return next((one for one in mechanics if one.username == name), next(iter(mechanics), None))


def _context(request: HttpRequest, now: datetime) -> dict[str, object]:
    person = signed_in(request)
    today = day_of(person, now)
    day = asked_day(request, today)
    mechanics = mechanics_open_to(person, day)
    mechanic = chosen_mechanic(request, mechanics)
    listed: BatchList | None = batch_list(mechanic, day) if mechanic else None
    ahead = next_day(mechanic, day) if mechanic else None
    instead_of, written = None, 0
    if mechanic and ahead and listed and listed.unplanned and "day" not in request.GET:
        instead_of, day = day, ahead  # a day off: the next list is what is wanted
        written = len(listed.records)
        listed, ahead = batch_list(mechanic, day), next_day(mechanic, day)
    listed = in_order(listed, now) if listed else None
    work = listed.work_to_fetch if listed else []
    shop = (mechanic.shop if mechanic else None) or home_shop(person)
    return {
        "today": today,
        "day": day,
        "mechanics": mechanics,
        "mechanic": mechanic,
        "list": listed,
        "instead_of": instead_of,
        "written": written,
        "next_day": ahead,
        "held": open_holds(person, shop, now),
        "pull": pull_list(
            work, listed.shop if listed else None, today, listed.open_work if listed else ()
        ),
        "cautions": cautions_of(listed.work_beside if listed else []),
        "units": listed.shop.units if listed and listed.shop else "us",
    }


@roles(Role.MECHANIC)
def bench(request: HttpRequest) -> HttpResponse:
    """Show a mechanic's shop day: jobs in order, then what to fetch for all of them."""
    now = timezone.now()
    context = _context(request, now)
    context["last_act"] = last_act(signed_in(request), now)
    context["act_day"] = context["day"] if "day" in request.GET else None
    return render(request, "scheduling/bench.html", context)


@roles(Role.MECHANIC)
def bench_paper(request: HttpRequest) -> HttpResponse:
    """Show the same day as a paper: pull list, then each job with steps to tick."""
    context = _context(request, timezone.now())
    listed, pull = context["list"], context["pull"]
    if isinstance(listed, BatchList) and isinstance(pull, PullList):
        context["cards"] = [(row, _takes(row, pull)) for row in with_steps(listed).open_jobs]
    return render(request, "scheduling/bench_paper.html", context)


def _takes(row: ListedJob, pull: PullList) -> list[CardTake]:
    works = [each.work for each in row.open_work]
    return card_takes(works, pull.planned, row.job.machine.yard.units)


@roles(Role.MECHANIC)
@require_safe
def bench_cards(request: HttpRequest) -> HttpResponse:
    """Hand the day out as a file: list and pull list, then a card a page for each machine."""
    context = _context(request, timezone.now())
    listed, pull = context["list"], context["pull"]
    if not (isinstance(listed, BatchList) and isinstance(pull, PullList)):
        messages.error(request, "No mechanic is set up yet, so there is no day to print.")
        return redirect("bench")
    units = str(context["units"])
    paper = day_paper(with_steps(listed), pull, units)
    file, _ = job_card_file(paper, _scan_address, letter=units == Units.US)
    answer = HttpResponse(file, content_type="application/pdf")
    name = f"job-cards-{listed.day}-{listed.mechanic.username}.pdf"
    answer.headers["Content-Disposition"] = content_disposition_header(False, name) or ""
    return answer


def _scan_address(card: JobCard) -> str:
    return settings.BASE_URL + reverse("scan", args=[card.machine_id])


@roles(Role.MECHANIC)
def find_sheet(request: HttpRequest) -> HttpResponse:
    """Open the sheet of the machine of that tag or serial number, in one press."""
    person, said = signed_in(request), request.GET.get("tag", "").strip()
    ours = machines_at_work(person, day_of(person, timezone.now()))
    machine = sought_by_label(ours, said)
    if machine:
        return redirect("job", machine.tag)
    messages.error(request, f"No machine of your shop has the tag or serial number “{said}”.")
    return redirect("bench")


paths = [
    path("bench/", bench, name="bench"),
    path("bench/sheet/", find_sheet, name="find-sheet"),
    path("bench/paper/", bench_paper, name="bench-paper"),
    path("bench/job-cards.pdf", bench_cards, name="bench-cards"),
]
