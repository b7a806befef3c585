"""Try changes on a copy of the plan: list them, make one, look at what it does, publish or drop."""

from collections.abc import Callable
from datetime import date, datetime
from uuid import uuid4

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path, reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from fleet.access import roles, signed_in
from fleet.models import Person, Role, Shop
from fleet.queries.mine import shops_of
from fleet.refusal import Refusal
from scheduling.actions.try_changes import (
    ask_trial,
    change_trial,
    drop_trial,
    publish_trial,
    try_again,
)
from scheduling.forms.day_change_forms import ChangeForm
from scheduling.forms.trial_forms import BROKEN, TRIED, filled_in, offered
from scheduling.models import Trial
from scheduling.queries.trial_list import list_trials, trials_of
from scheduling.queries.trial_overview import trial_page
from scheduling.trial.changes import read
from scheduling.trial.rights import why_not
from scheduling.views.progress_page import chosen_shop, progress_context


def today_of(shop: Shop, now: datetime) -> date:
    """Return a shop's day."""
    return now.astimezone(shop.zone).date()


@roles(Role.MECHANIC)
@require_GET
def trials(request: HttpRequest) -> HttpResponse:
    """Show what is being tried out, and offer every change that can be."""
    return _trials(request, timezone.now())


def _trials(request: HttpRequest, now: datetime, filled: ChangeForm | None = None) -> HttpResponse:
    shop, person = chosen_shop(request), signed_in(request)
    context: dict[str, object] = {
        "shop": shop,
        "shops": list(shops_of(person)),
        "form": filled,
        "may_change": person.manages,
    }
    if shop is not None:
        today = today_of(shop, now)
        context["listed"] = list_trials(shop, Trial.Kind.TRY, today)
        context |= {"today": today, "to": f"{reverse('trials')}new/", "form_key": uuid4().hex}
        context["forms"] = offered(TRIED, shop, today, filled) if person.manages else []
    return render(request, "scheduling/trials.html", context, status=422 if filled else 200)


@roles()
@require_POST
def new(request: HttpRequest, what: str) -> HttpResponse:
    """Try one change out."""
    shop, now = chosen_shop(request), timezone.now()
    if shop is None:
        return redirect("trials")
    form = filled_in(TRIED, what, shop, today_of(shop, now), request.POST)
    if form is None:
        raise Http404
    if not form.is_valid():
        return _trials(request, now, form)
    key = request.POST.get("form_key", "")[:40] or None
    made = ask_trial(shop, [form.change()], by=signed_in(request), now=now, form_key=key)
    return redirect("trial", made.pk)


def _own(request: HttpRequest, pk: int) -> Trial:
    return get_object_or_404(trials_of(signed_in(request)), pk=pk)


@roles(Role.MECHANIC)
@require_GET
def trial(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what a trial does, and what may be done with it."""
    return _trial(request, _own(request, pk), timezone.now())


def _trial(
    request: HttpRequest, one: Trial, now: datetime, filled: ChangeForm | None = None
) -> HttpResponse:
    person = signed_in(request)
    today = today_of(one.shop, now)
    page = trial_page(one, today)
    context: dict[str, object] = {
        "page": page,
        "trial": one,
        "mending": one.kind == Trial.Kind.MEND,
        "today": today,
        "form": filled,
        "barred": why_not(person, one) if one.open else "",
        "to": reverse("trial-add", args=[one.pk, "-"]).removesuffix("-/"),
        "forms": _more_forms(one, person, today, filled),
        "back": reverse("trial", args=[one.pk]),
    }
    if page.search is not None:
        context |= progress_context(page.search, now)
    return render(request, "scheduling/trial.html", context, status=422 if filled else 200)


def _more_forms(
    one: Trial, person: Person, today: date, filled: ChangeForm | None
) -> list[ChangeForm]:
    """Return the forms of further changes: for the manager, while nothing is settled."""
    if not (one.open and person.manages):
        return []
    kinds = BROKEN if one.kind == Trial.Kind.MEND else TRIED
    return offered(kinds, one.shop, today, filled)


@roles()
@require_POST
def add(request: HttpRequest, pk: int, what: str) -> HttpResponse:
    """Try one change more; the same change again adds nothing."""
    one, now = _own(request, pk), timezone.now()
    kinds = BROKEN if one.kind == Trial.Kind.MEND else TRIED
    form = filled_in(kinds, what, one.shop, today_of(one.shop, now), request.POST)
    if form is None:
        raise Http404
    if not form.is_valid():
        return _trial(request, one, now, form)
    changes, more = [read(row) for row in one.changes], form.change()
    if more not in changes:
        changes.append(more)
    return _do(request, one, lambda by: change_trial(one, changes, by=by, now=now))


@roles()
@require_POST
def take_out(request: HttpRequest, pk: int, number: int) -> HttpResponse:
    """Try again without one of the changes."""
    one, now = _own(request, pk), timezone.now()
    if number >= len(one.changes):
        return redirect("trial", pk)
    changes = [read(row) for n, row in enumerate(one.changes) if n != number]
    return _do(request, one, lambda by: change_trial(one, changes, by=by, now=now))


@roles(Role.MECHANIC)
@require_POST
def again(request: HttpRequest, pk: int) -> HttpResponse:
    """Work a trial out again from the facts as they are now."""
    one, now = _own(request, pk), timezone.now()
    return _settle(request, one, lambda by: try_again(one, by=by, now=now))


@roles(Role.MECHANIC)
@require_POST
def drop(request: HttpRequest, pk: int) -> HttpResponse:
    """Throw a trial away."""
    one, now = _own(request, pk), timezone.now()
    said = "Nothing was changed; the plan stands as it was."
    return _settle(request, one, lambda by: drop_trial(one, by=by, now=now), said)


@roles(Role.MECHANIC)
@require_POST
def publish(request: HttpRequest, pk: int) -> HttpResponse:
    """Make the changes facts, and what was found the shop's plan."""
    one, now = _own(request, pk), timezone.now()
    said = "Published: the changes are on record, and this is now the shop's plan."
    if one.kind == Trial.Kind.MEND:
        said = "Accepted: what broke is on record, and the plan is mended."
    return _settle(request, one, lambda by: publish_trial(one, by=by, now=now), said)


def _settle(
    request: HttpRequest, one: Trial, what: Callable[[Person], Trial], said: str = ""
) -> HttpResponse:
    """Do what only some may do with a trial."""
    if barred := why_not(signed_in(request), one):
        messages.error(request, barred)
        return redirect("trial", one.pk)
    return _do(request, one, what, said)


def _do(
    request: HttpRequest, one: Trial, what: Callable[[Person], Trial], said: str = ""
) -> HttpResponse:
    """Do something with a trial, and go back to its page with what came of it."""
    try:
        what(signed_in(request))
        if said:
            messages.success(request, said)
    except Refusal as refused:
        messages.error(request, refused.sentence)
    return redirect("trial", one.pk)


paths = [
    path("shop-days/try/", trials, name="trials"),
    path("shop-days/try/new/<slug:what>/", new, name="trial-new"),
    path("shop-days/try/<int:pk>/", trial, name="trial"),
    path("shop-days/try/<int:pk>/add/<slug:what>/", add, name="trial-add"),
    path("shop-days/try/<int:pk>/without/<int:number>/", take_out, name="trial-without"),
    path("shop-days/try/<int:pk>/again/", again, name="trial-again"),
    path("shop-days/try/<int:pk>/drop/", drop, name="trial-drop"),
    path("shop-days/try/<int:pk>/publish/", publish, name="trial-publish"),
]
