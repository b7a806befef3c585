"""The order list: what to buy, by when, for which jobs; ordered, received, taken back."""

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path, reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from fleet.access import roles, signed_in
from fleet.actions.order_parts import drop_line, order_line, receive_line, take_line_back
from fleet.asked_shop import asked_shop
from fleet.forms.order_filter_form import OrderFilter
from fleet.models import OrderLine, Role, Shop
from fleet.queries.mine import shops_of
from fleet.queries.order_list import in_turn, lines_open_to, order_lines
from fleet.queries.stock_words import say_amount
from fleet.refusal import Refusal
from fleet.table_answer import answered
from scheduling.queries.covered_parts import CoveredPart, covered_parts, tell_covered
from scheduling.queries.ordered_jobs import tell_days_now
from scheduling.queries.planned_parts import planned_parts
from scheduling.queries.rows_of_parts import order_table


class ExpectedForm(forms.Form):
    """When what is ordered is expected."""

    expected_on = forms.DateField(
        label="Expected on", widget=forms.DateInput(attrs={"type": "date"}),
        error_messages={"required": "Say on which day it is expected.",
                        "invalid": "Write the day as 2026-03-31."},
    )  # fmt: skip


@roles(Role.MECHANIC)
@require_safe
def order_list(request: HttpRequest) -> HttpResponse:
    """Show what a shop has to buy; a manager marks it, a mechanic looks."""
    shop, person = asked_shop(request), signed_in(request)
    today = timezone.now().astimezone(shop.zone).date()
    narrow = OrderFilter(shop, request.GET)
    wanted = narrow.narrowing()
    lines = order_lines(shop)
    shown = order_lines(shop, wanted) if wanted.narrows else lines
    tell_days_now(shown if shown is lines else [*lines, *shown])
    covered = covered_parts(planned_parts(shop, today).all_stand_ins)
    tell_covered([*lines, *shown], covered)
    lines, shown = in_turn(lines), in_turn(shown)
    to_order = [one for one in lines if one.state == "to order"]
    context = {
        "shop": shop,
        "shops": shops_of(person),
        "today": today,
        "narrow": narrow,
        "narrowed": wanted.narrows,
        "by_part": wanted.by_part,
        "asked": _asked(request, shop),
        "all": len(lines),
        "rows": [_row(one, today, covered) for one in shown],
        "to_order": to_order,
        "price": sum(one.price for one in to_order),
        "no_price": sum(not one.part.cost for one in to_order),
        "late": [one for one in lines if _is_late(one, today)],
        "may_order": person.manages,
    }
    return render(request, "scheduling/order_list.html", context)


def _asked(request: HttpRequest, shop: Shop) -> str:
    """Return the choices of the address, so that presses and files keep them."""
    asked = request.GET.copy()
    asked["shop"] = shop.name
    return str(asked.urlencode())


def _is_late(one: OrderLine, today: date) -> bool:
    return one.state == "to order" and one.order_by < today and not one.nobody_waits


def _row(one: OrderLine, today: date, covered: list[CoveredPart]) -> dict[str, Any]:
    lead = one.part.lead_days
    expected = today + timedelta(days=lead) if lead is not None else max(one.needed_by, today)
    return {
        "line": one,
        "much": say_amount(one.part, one.to_buy, one.shop),
        "expected": expected,
        "late": _is_late(one, today),
        "covered": [
            each
            for each in covered
            if each.named == one.part and one.state in ("to order", "ordered")
        ],
    }


@roles(Role.MECHANIC)
@require_safe
def order_file(request: HttpRequest) -> HttpResponse:
    """Send the order list as CSV, or as XLSX where that is asked for."""
    shop = asked_shop(request)
    lines = order_lines(shop, OrderFilter(shop, request.GET).narrowing())
    tell_days_now(lines)
    today = timezone.now().astimezone(shop.zone).date()
    covered = covered_parts(planned_parts(shop, today).all_stand_ins)
    tell_covered(lines, covered)
    kind = "xlsx" if request.GET.get("as") == "xlsx" else "csv"
    return answered(order_table(in_turn(lines), covered), kind)


def _do(
    request: HttpRequest, pk: int, what: Callable[[OrderLine], OrderLine], said: str
) -> HttpResponse:
    """Take one step with a line, and go back to the list with what came of it."""
    line = get_object_or_404(lines_open_to(signed_in(request)), pk=pk)
    try:
        what(line)
        messages.success(request, f"{line.part.name}: {said}.")
    except Refusal as refused:
        messages.error(request, refused.sentence)
    return redirect(f"{reverse('order-list')}?{_asked(request, line.shop)}")


@roles()
@require_POST
def mark_ordered(request: HttpRequest, pk: int) -> HttpResponse:
    """Say that a part is ordered, and when it is expected."""
    by, now, form = signed_in(request), timezone.now(), ExpectedForm(request.POST)

    def ordered(line: OrderLine) -> OrderLine:
        if not form.is_valid():
            raise Refusal(str(form.errors["expected_on"][0]))
        return order_line(line, form.cleaned_data["expected_on"], by=by, now=now)

    return _do(request, pk, ordered, "ordered")


@roles()
@require_POST
def mark_received(request: HttpRequest, pk: int) -> HttpResponse:
    """Say that what was ordered has come."""
    by, now = signed_in(request), timezone.now()
    return _do(request, pk, lambda line: receive_line(line, by=by, now=now), "on the shelf")


@roles()
@require_POST
def drop_order(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a part off the list."""
    by, now = signed_in(request), timezone.now()
    return _do(request, pk, lambda line: drop_line(line, by=by, now=now), "off the list")


@roles()
@require_POST
def take_order_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Take the last step of a line back."""
    by, now = signed_in(request), timezone.now()
    return _do(request, pk, lambda line: take_line_back(line, by=by, now=now), "taken back")


paths = [
    path("order-list/", order_list, name="order-list"),
    path("order-list/file/", order_file, name="order-file"),
    path("order-list/<int:pk>/ordered/", mark_ordered, name="order-ordered"),
    path("order-list/<int:pk>/received/", mark_received, name="order-received"),
    path("order-list/<int:pk>/drop/", drop_order, name="order-drop"),
    path("order-list/<int:pk>/back/", take_order_back, name="order-back"),
]
