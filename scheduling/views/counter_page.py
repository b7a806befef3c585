"""The counter: which machines may go out, what goes out and comes back, what is at risk."""

from datetime import date, datetime, timedelta
from typing import Any
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_safe

from fleet.access import roles, signed_in
from fleet.models import MachineClass, Person, Role, Yard
from fleet.queries.last_act import last_act
from fleet.queries.machine_classes import has_machine_classes
from fleet.queries.mine import day_of, machines_of
from scheduling.availability.answer import Availability
from scheduling.availability.counter_facts import Days
from scheduling.availability.headline import headline
from scheduling.forms.counter_forms import QuestionForm, asked_days
from scheduling.queries.counter_day import counter_day
from scheduling.queries.desk_lists import desk_lists, shops_with_lists
from scheduling.queries.late_returns import late_returns
from scheduling.queries.may_go_out import which_may
from scheduling.queries.open_classes import bookable, promised_of
from scheduling.queries.risk_advice import risks_to_come

A_WEEK = timedelta(days=7)


@roles(Role.DESK)
@require_safe
def counter(request: HttpRequest) -> HttpResponse:
    """Answer the question in the address, then show the day."""
    person, now = signed_in(request), timezone.now()
    today = day_of(person, now)
    form = QuestionForm(request.GET, person=person, today=today)
    context: dict[str, Any] = {
        "form": form, "today": today, "classes": has_machine_classes(),
        "last_act": last_act(person, now),
    }  # fmt: skip
    if form.is_bound and form.is_valid():
        context |= _answered(form, person, today, now)
    else:
        context |= _day(person, today, now)
    return render(request, "scheduling/counter.html", context)


def _day(person: Person, today: date, now: datetime) -> dict[str, Any]:
    shops = list(shops_with_lists(person))
    risks = [one for shop in shops for one in risks_to_come(shop, today, A_WEEK)]
    lists = desk_lists(shops, today)
    day = counter_day(shops, today, now)
    late = late_returns(now, shops) if day.late else []
    return {"day": day, "late": late, "risks": risks, "desk_lists": lists}


def _answered(form: QuestionForm, person: Person, today: date, now: datetime) -> dict[str, Any]:
    asked = form.cleaned_data
    days = asked_days(asked, now)
    answers = which_may(
        asked["machine_class"], days, today, among=machines_of(person), yard=asked["yard"],
        hours_a_day=asked["hours_a_day"],
    )  # fmt: skip
    return {
        "days": days,
        "asked": asked,
        "query": as_query(days, asked["hours_a_day"]),
        "answers": answers,
        "yes": [one for one in answers if one.yes],
        "after": [one for one in answers if one.after_work],
        "no": [one for one in answers if not (one.yes or one.after_work)],
        "sentence": _sentence(answers, asked["machine_class"], asked["yard"], days, today),
    }


def as_query(days: Days, hours_a_day: float | None) -> str:
    """Return days, times and use a day as the address of a page to come carries them."""
    told: dict[str, Any] = {"first_day": days.first, "last_day": days.last}
    told |= {
        name: f"{at:%H:%M}"
        for name in ("from_time", "to_time")
        if (at := getattr(days, name)) is not None
    }
    if hours_a_day is not None:
        told["hours_a_day"] = f"{hours_a_day:g}"
    return urlencode(told)


def _sentence(
    answers: list[Availability],
    machine_class: MachineClass,
    yard: Yard | None,
    days: Days,
    today: date,
) -> str:
    if not answers:
        return f"{machine_class}: there is no machine of this class here."
    said = headline(machine_class.name, days.said(today), answers)
    promised = promised_of(machine_class, days, yard)
    if not promised:
        return said
    left = max(len(bookable(answers)) - promised, 0)
    return (
        f"{said} {promised} of them {'is' if promised == 1 else 'are'} wanted by bookings of"
        f" the class alone: {left or 'none'} left."
    )


paths = [path("counter/", counter, name="counter")]
