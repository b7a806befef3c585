"""The shelf of a shop: what lies there by the book, counted, and its movements put right."""

from datetime import datetime
from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path, reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from fleet.access import roles, signed_in
from fleet.actions.count_stock import correct_count, count_shelf, on_hand, strike_movement
from fleet.asked_shop import asked_shop
from fleet.forms.shelf_forms import CountForm, StrikeMovementForm
from fleet.models import Part, Role, Shop, StockMovement
from fleet.queries.last_act import last_act
from fleet.queries.mine import shops_of
from fleet.queries.own_facts import movements_in, movements_of, shelf_of
from fleet.queries.parts_of_shop import any_part
from fleet.queries.stock_words import say_amount
from fleet.refusal import Refusal

SHOWN = 30
"""Movements that the page of a part shows."""


@roles(Role.MECHANIC)
@require_safe
def shelf(request: HttpRequest) -> HttpResponse:
    """Show what lies on a shop's shelf by the book."""
    shop = asked_shop(request)
    rows = [
        (part, None if left is None else say_amount(part, left, shop))
        for part, left in shelf_of(shop)
    ]
    shops = shops_of(signed_in(request))
    return render(request, "fleet/shelf.html", {"shop": shop, "rows": rows, "shops": shops})


@roles(Role.MECHANIC)
@require_http_methods(["GET", "HEAD", "POST"])
def part_shelf(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the shelf of one part; count it."""
    shop, now = asked_shop(request), timezone.now()
    part = get_object_or_404(any_part(), pk=pk)
    form = CountForm(request.POST if request.method == "POST" else None, part, shop)
    if request.method == "POST" and form.is_valid():
        counted = form.cleaned_data["counted"]
        count_shelf(
            part, shop, counted, by=signed_in(request), now=now, note=form.cleaned_data["note"]
        )
        messages.success(request, f"{part.name}: {say_amount(part, counted, shop)} on the shelf.")
        return redirect(_address(part, shop))
    return _page(request, part, shop, now, {"form": form})


@roles(Role.MECHANIC)
@require_POST
def recount(request: HttpRequest, pk: int) -> HttpResponse:
    """Correct a count."""
    person, now = signed_in(request), timezone.now()
    count = get_object_or_404(movements_in(shops_of(person)), pk=pk)
    form = CountForm(request.POST, count.part, count.shop, label="What was really there")
    if form.is_valid():
        typed = form.cleaned_data
        try:
            correct_count(count, typed["counted"], why=typed["note"], by=person, now=now)
        except Refusal as no:
            form.add_error(None, no.sentence)
        else:
            messages.success(request, "The count is corrected; the old one stays on record.")
            return redirect(_address(count.part, count.shop))
    return _page(request, count.part, count.shop, now, {"fault": form, "fault_at": count.pk})


@roles(Role.MECHANIC)
@require_POST
def strike(request: HttpRequest, pk: int) -> HttpResponse:
    """Strike a movement."""
    person, now = signed_in(request), timezone.now()
    movement = get_object_or_404(movements_in(shops_of(person)), pk=pk)
    form = StrikeMovementForm(request.POST)
    if form.is_valid():
        try:
            strike_movement(movement, why=form.cleaned_data["why"], by=person, now=now)
        except Refusal as no:
            form.add_error(None, no.sentence)
        else:
            messages.success(request, "The movement is struck; it stays on record.")
            return redirect(_address(movement.part, movement.shop))
    context = {"fault": form, "fault_at": movement.pk}
    return _page(request, movement.part, movement.shop, now, context)


def _address(part: Part, shop: Shop) -> str:
    return f"{reverse('shelf-part', args=[part.pk])}?{urlencode({'shop': shop.name})}"


def _page(
    request: HttpRequest, part: Part, shop: Shop, now: datetime, sent: dict[str, Any]
) -> HttpResponse:
    left = on_hand(part.pk, shop.pk)
    moved = movements_of(part, shop, SHOWN)
    context = {
        "part": part,
        "shop": shop,
        "today": now.astimezone(shop.zone).date(),
        "left": None if left is None else say_amount(part, left, shop),
        "movements": [_row(movement) for movement in moved],
        "form": CountForm(None, part, shop),
        "last_act": last_act(signed_in(request), now),
    }
    return render(request, "fleet/shelf_part.html", context | sent)


def _row(movement: StockMovement) -> dict[str, Any]:
    part, shop = movement.part, movement.shop
    struck = getattr(movement, "corrected_by", None) is not None
    counted = movement.counted
    return {
        "movement": movement,
        "moved": say_amount(part, movement.quantity, shop),
        "counted": None if counted is None else say_amount(part, counted, shop),
        "struck": struck,
        "open": not struck and movement.record_id is None and movement.corrects_id is None,
        "recount": CountForm(None, part, shop, label="What was really there"),
        "strike": StrikeMovementForm(),
    }


paths = [
    path("shelf/", shelf, name="shelf"),
    path("shelf/<int:pk>/", part_shelf, name="shelf-part"),
    path("shelf/counts/<int:pk>/", recount, name="shelf-recount"),
    path("shelf/movements/<int:pk>/strike/", strike, name="shelf-strike"),
]
