"""Something broke today: say what, see the few moves that mend the plan, accept or leave it."""

from datetime import datetime
from uuid import uuid4

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import path, reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from fleet.access import roles, signed_in
from fleet.models import Role
from fleet.queries.mine import shops_of
from scheduling.actions.report_breakdowns import report_breakdown
from scheduling.actions.try_changes import ask_trial
from scheduling.forms.breakage_forms import BrokeDownForm, offered_with_breakdown
from scheduling.forms.day_change_forms import ChangeForm
from scheduling.forms.trial_forms import BROKEN, filled_in, offered, only_own_absence
from scheduling.models import Trial
from scheduling.queries.trial_list import list_trials
from scheduling.views.progress_page import chosen_shop
from scheduling.views.trial_pages import today_of


@roles(Role.MECHANIC)
@require_GET
def broke(request: HttpRequest) -> HttpResponse:
    """Ask what broke."""
    return _broke(request, timezone.now())


def _broke(request: HttpRequest, now: datetime, filled: ChangeForm | None = None) -> HttpResponse:
    shop, person = chosen_shop(request), signed_in(request)
    context: dict[str, object] = {
        "shop": shop,
        "shops": list(shops_of(person)),
        "form": filled,
    }
    if shop is not None:
        today = today_of(shop, now)
        forms = offered(offered_with_breakdown(shop, BROKEN), shop, today, filled)
        if not person.manages:
            for form in forms:
                only_own_absence(form, person)
        context["listed"] = list_trials(shop, Trial.Kind.MEND, today)
        context |= {"today": today, "forms": forms, "to": f"{reverse('broke')}mend/"}
        context["form_key"] = uuid4().hex
    return render(request, "scheduling/broke.html", context, status=422 if filled else 200)


@roles(Role.MECHANIC)
@require_POST
def mend(request: HttpRequest, what: str) -> HttpResponse:
    """Have few moves worked out that mend the plan."""
    shop, person, now = chosen_shop(request), signed_in(request), timezone.now()
    if shop is None:
        return redirect("broke")
    kinds = offered_with_breakdown(shop, BROKEN)
    form = filled_in(kinds, what, shop, today_of(shop, now), request.POST)
    if form is None:
        raise Http404
    if not person.manages:
        only_own_absence(form, person)
    if not form.is_valid():
        return _broke(request, now, form)
    key = request.POST.get("form_key", "")[:40] or None
    if isinstance(form, BrokeDownForm):
        said = form.breakdown()
        made = report_breakdown(shop, said, by=person, now=now, form_key=key)
        messages.warning(request, f"{said.machine} is held, and its repair is on record.")
    else:
        kind = Trial.Kind.MEND
        made = ask_trial(shop, [form.change()], by=person, now=now, kind=kind, form_key=key)
    return redirect("trial", made.pk)


paths = [
    path("shop-days/broke/", broke, name="broke"),
    path("shop-days/broke/mend/<slug:what>/", mend, name="broke-mend"),
]
