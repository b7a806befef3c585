"""The pull list answers back: what is not on the shelf is said where it is missed."""

from collections.abc import Sequence

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import path, reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from fleet.access import roles, signed_in
from fleet.actions.order_parts import MissingPart
from fleet.from_phone import say_taken
from fleet.models import OrderedFor, Part, Role, Shop
from fleet.numerals import parse_number
from fleet.quantities import parse_volume
from fleet.queries.mine import day_of
from fleet.queries.stock_words import say_amount
from fleet.queries.who_works import mechanics_open_to
from scheduling.actions.miss_on_pull import AfterMissing, miss_on_pull
from scheduling.models import PlannedWork
from scheduling.queries.batch_list import batch_list
from scheduling.queries.pull_list import Pull, pull_list
from scheduling.views.bench_page import asked_day, chosen_mechanic


@roles(Role.MECHANIC)
@require_POST
def missing(request: HttpRequest) -> HttpResponse:
    """Say that a part is not on the shelf, or less of it than the book says."""
    person, now = signed_in(request), timezone.now()
    today = day_of(person, now)
    day = asked_day(request, today)
    mechanic = chosen_mechanic(request, mechanics_open_to(person, day))
    listed = batch_list(mechanic, day) if mechanic else None
    if listed is None or listed.shop is None:
        raise Http404("There is no such list.")
    back = redirect(f"{reverse('bench')}?{request.GET.urlencode()}#pull-list")
    pulls = pull_list(listed.work_to_fetch, listed.shop, today).pulls
    asked = _asked(pulls, request.POST.get("part", ""))
    if asked is None:
        messages.error(request, "That part is no longer on this day's pull list.")
        return say_taken(back, taken=False)
    part, needed, work = asked
    try:
        found = _found(request.POST.get("found", ""), part, listed.shop)
    except ValueError as no:
        messages.error(request, str(no))
        return say_taken(back, taken=False)
    what = MissingPart(
        part, listed.shop, needed, found, day,
        [OrderedFor(machine=one.machine, service=one.service, day=day) for one in work],
    )  # fmt: skip
    after = miss_on_pull(what, work, by=person, now=now)
    messages.success(request, _said(what, after))
    return back


def _asked(pulls: list[Pull], number: str) -> tuple[Part, float, Sequence[PlannedWork]] | None:
    """Return a part of the list, how much of it has to be there, and the work that takes it.

    Of a substitute that is not there none is ordered: the part that it stands in for is what the
    machine takes.
    """
    for pull in pulls:
        part = pull.need.part
        if part and str(part.pk) == number:
            return part, pull.need.quantity, pull.work
    for pull in pulls:
        for other in pull.instead:
            if str(other.part.pk) == number:
                return other.part, 0.0, pull.work
    return None


def _found(text: str, part: Part, shop: Shop) -> float:
    """Read what was found, in pieces or mL; nothing typed: none."""
    if not text.strip():
        return 0.0
    return parse_volume(text, shop.units) if part.kind == Part.Kind.FLUID else parse_number(text)


def _said(what: MissingPart, after: AfterMissing) -> str:
    name, shop = what.part.name, what.shop
    there = say_amount(what.part, what.found, shop)
    said = [f"{name}: {there} on the shelf now." if what.found else f"{name}: none on the shelf."]
    for other in after.instead:
        much = say_amount(other.part, other.quantity, shop)
        said.append(f"Pull {much} {other.part} in its place; the make-up says that it fits.")
    if after.line:
        said.append("It is on the order list, and the plan is being made again.")
    elif not what.needed:
        said.append("The plan is being made again.")
    return " ".join(said)


paths = [path("bench/pull/missing/", missing, name="pull-missing")]
