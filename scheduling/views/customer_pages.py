"""Customers: the list, one customer with their bookings, corrected or merged with another entry."""

from datetime import datetime

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from fleet.access import roles, signed_in
from fleet.actions.correct_customers import correct_customer, merge_customers
from fleet.models import Customer, Role
from fleet.queries.customer_list import (
    coming_of,
    customers_like,
    every_customer,
    known_as,
    names_known,
    past_of,
    with_hires,
)
from fleet.queries.mine import day_of, home_shop
from fleet.queries.own_facts import changes_to
from fleet.refusal import Refusal
from scheduling.forms.customer_forms import CustomerForm, MergeCustomerForm
from scheduling.queries.hire_lines import lines_of
from scheduling.views.booking_pages import refuse

A_PAGE = 50
"""Customers on one page."""
MOST_PAST = 50
"""Past bookings shown of a customer, the latest."""


@roles(Role.DESK)
@require_safe
def customers(request: HttpRequest) -> HttpResponse:
    """Show all customers, or those whose name has the text in it."""
    text = request.GET.get("name", "").replace("\x00", "")[:120]
    pages = Paginator(customers_like(text), A_PAGE)
    page = pages.get_page(request.GET.get("page"))
    context = {
        "page": page,
        "rows": with_hires(list(page)),
        "text": text,
        "number": pages.count,
        "today": day_of(signed_in(request), timezone.now()),
    }
    return render(request, "scheduling/customers.html", context)


@roles(Role.DESK)
@require_safe
def known(request: HttpRequest) -> HttpResponse:
    """Offer names while one is typed, and say who is called exactly so."""
    text = request.GET.get("customer", "").replace("\x00", "")[:120]
    context = {
        "names": names_known(text),
        "known": known_as(text) if text.strip() else None,
        "today": day_of(signed_in(request), timezone.now()),
    }
    return render(request, "scheduling/_customers_known.html", context)


@roles(Role.DESK)
@require_safe
def customer(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one customer; an entry that was merged leads to the one that stays."""
    row = get_object_or_404(every_customer(), pk=pk)
    if row.merged_into_id:
        return redirect("customer", row.merged_into_id)
    return _page(request, row, timezone.now(), CustomerForm(None, row))


@roles(Role.DESK)
@require_POST
def correct(request: HttpRequest, pk: int) -> HttpResponse:
    """Put name, number, mail or note right."""
    row, now = get_object_or_404(every_customer(), pk=pk), timezone.now()
    form = CustomerForm(request.POST, row)
    if form.is_valid():
        try:
            correct_customer(
                row, form.right(), why=form.cleaned_data["why"], by=signed_in(request), now=now
            )
        except Refusal as no:
            refuse(form, no)
        else:
            messages.success(request, "The customer is put right; what it said stays on record.")
            return redirect("customer", pk)
    return _page(request, row, now, form)


@roles(Role.DESK)
@require_POST
def merge(request: HttpRequest, pk: int) -> HttpResponse:
    """Make one customer of this entry and another."""
    row, now = get_object_or_404(every_customer(), pk=pk), timezone.now()
    form = MergeCustomerForm(request.POST)
    if form.is_valid():
        other = form.cleaned_data["other"]
        why = form.cleaned_data["why"]
        try:
            merge_customers(row, other, why=why, by=signed_in(request), now=now)
        except Refusal as no:
            refuse(form, no)
        else:
            messages.success(request, f"{other.name} is the same customer now.")
            return redirect("customer", pk)
    return _page(request, row, now, CustomerForm(None, row), form)


def _page(
    request: HttpRequest,
    row: Customer,
    now: datetime,
    form: CustomerForm,
    merging: MergeCustomerForm | None = None,
) -> HttpResponse:
    person = signed_in(request)
    today = day_of(person, now)
    sought = request.GET.get("like", "").replace("\x00", "")[:120]
    alike = [one for one in names_known(sought or row.name[:4]) if one.pk != row.pk]
    context = {
        "customer": row,
        "today": today,
        "place": home_shop(person),
        "coming": lines_of(coming_of(person, row, today), now),
        "past": lines_of(past_of(person, row, today), now, MOST_PAST),
        "form": form,
        "merging": merging,
        "alike": alike,
        "sought": sought,
        "logged": changes_to(row),
    }
    return render(request, "scheduling/customer.html", context)


paths = [
    path("counter/customers/", customers, name="customers"),
    path("counter/customers/known/", known, name="customers-known"),
    path("counter/customers/<int:pk>/", customer, name="customer"),
    path("counter/customers/<int:pk>/correct/", correct, name="customer-correct"),
    path("counter/customers/<int:pk>/merge/", merge, name="customer-merge"),
]
