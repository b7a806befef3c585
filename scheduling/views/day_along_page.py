"""What a phone takes along: asked by the bench as it is opened, answered with addresses."""

from django.http import HttpRequest, JsonResponse
from django.urls import path
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from fleet.access import roles, signed_in
from fleet.models import Role
from fleet.queries.mine import day_of
from fleet.queries.who_works import mechanics_open_to
from scheduling.queries.day_along import day_along, labels_along
from scheduling.views.bench_page import asked_day, chosen_mechanic


@roles(Role.MECHANIC, Role.HAND)
@never_cache
@require_safe
def day_along_list(request: HttpRequest) -> JsonResponse:
    """Say which pages belong to a mechanic's day or a hand's round, and for whom they are."""
    person = signed_in(request)
    day = asked_day(request, day_of(person, timezone.now()))
    mechanic = chosen_mechanic(request, mechanics_open_to(person, day))
    pages, labels = day_along(person, mechanic, day), labels_along(person)
    return JsonResponse({"person": str(person.pk), "pages": pages, "labels": labels})


paths = [path("no-signal/day/", day_along_list, name="day-along")]
