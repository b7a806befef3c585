"""What every template may use: the site's own people, units and menu."""

from django.http import HttpRequest

from fleet.models import Role
from fleet.phone_acts import SCRIPTS, TAKES_PHONE
from fleet.version import VERSION

MENU = (
    ("yard", "Yard", ("manager",)),
    ("counter", "Counter", ("manager", "desk")),
    ("bench", "Bench", ("manager", "mechanic")),
    ("shop-days", "Shop days", ("manager", "mechanic")),
    ("machines", "Machines", ("manager", "desk", "mechanic")),
    ("meter-round", "Meter round", ("manager", "desk", "mechanic", "hand")),
    ("order-list", "Order list", ("manager", "mechanic")),
    ("notices", "Notices", ("manager", "desk", "mechanic")),
    ("bring-in", "Bring in", ("manager",)),
    ("set-up", "Set-up", ("manager",)),
)
"""URL name, label, roles that see it."""

WITHIN = {
    "find": "counter",
    "customers": "counter",
    "customer": "counter",
    "hire": "counter",
    "class-line": "counter",
    "waits": "counter",
    "wait": "counter",
    "machine": "machines",
    "record": "machines",
    "finding": "machines",
    "scan": "meter-round",
    "faults": "bench",
    "fault": "bench",
    "shelf": "bench",
    "shelf-part": "bench",
    "changes": "set-up",
    "client-keys": "set-up",
    "who-looks": "set-up",
    "nights": "set-up",
    "hand-keys": "set-up",
    "letters": "notices",
    "hold": "machines",
    "hold-machine": "machines",
    "safe-to-release": "bench",
    "job": "bench",
    "put-off": "bench",
    "leave-work": "bench",
    "add-work": "bench",
    "range-record": "yard",
    "hindsight": "yard",
    "parts-to-order": "order-list",
    "ways-out": "yard",
    "year-costs": "yard",
    "risk-group": "yard",
    "work-weeks": "yard",
    "all-shops": "yard",
    "planned-done": "shop-days",
    "shop-day-job": "shop-days",
    "calendar": "shop-days",
    "booking-feeds": "counter",
    "bring-in-file": "bring-in",
    "last-done": "set-up",
    "last-done-of-class": "set-up",
    "all-intervals": "set-up",
    "first-steps": "set-up",
    "intervals": "set-up",
    "interval": "set-up",
    "interval-new": "set-up",
    "intervals-copy": "set-up",
    "procedures": "set-up",
    "procedure": "set-up",
    "procedure-offered": "set-up",
    "procedure-step": "set-up",
    "procedure-step-new": "set-up",
    "manual": "set-up",
}
"""Pages that are not on the menu -> the entry to which they belong."""


PHONE = tuple(f"js/no_signal/{name}.js" for name in SCRIPTS)


def site(request: HttpRequest) -> dict[str, object]:
    """Return the version, and the menu entries that this person may open."""
    named = request.resolver_match.url_name if request.resolver_match else ""
    phone = {"phone_scripts": PHONE, "takes_phone": named in TAKES_PHONE}
    return phone | _menu(request)


def _menu(request: HttpRequest) -> dict[str, object]:
    person = getattr(request, "user", None)  # a bad request is refused before it has one
    if person is None or not person.is_authenticated:
        return {"menu": [], "version": VERSION}
    role = "manager" if person.manages else person.role
    here = request.resolver_match.url_name if request.resolver_match else ""
    here = "set-up" if (here or "").startswith("set-up-") else WITHIN.get(here or "", here)
    menu = [(url, label, url == here) for url, label, roles in MENU if role in roles]
    finds = role in (Role.MANAGER, Role.DESK)
    return {"menu": menu, "version": VERSION, "no_role": role not in Role.values, "finds": finds}
