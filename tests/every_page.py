"""Open every page of the site that answers a GET, with real arguments, as each of the people.

The addresses come from the site's own list of them, so that a page added tomorrow is opened too.
"""

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import partial
from typing import Any

from django.apps import apps
from django.db.models import Model, QuerySet
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse
from django.utils import timezone

from fleet.forms.things import THINGS
from fleet.models import (
    Act,
    Booking,
    CalendarKey,
    ClassLine,
    ClientKey,
    Customer,
    FaultSearch,
    FeedKey,
    Finding,
    FindingPhoto,
    HandOver,
    HandOverCharge,
    HandOverPhoto,
    Hire,
    Hold,
    Import,
    Interval,
    LibraryCopy,
    Machine,
    MachineClass,
    MakeUp,
    Meter,
    OrderLine,
    Override,
    Part,
    Person,
    Progress,
    Reading,
    ReadingToMend,
    Role,
    Service,
    ServiceRecord,
    ServiceStep,
    Shop,
    StepPicture,
    StockMovement,
    Waiting,
    WorkPhoto,
)
from fleet.password_links import link_for
from fleet.queries.calendar_holders import token_of
from fleet.queries.feed_holders import feed_token
from scheduling.models import Notice, PlannedJob, PlanSearch, Trial
from scheduling.notices.signed_links import answer_url, stop_url

PEOPLE = ("odile", "wes", "ingrid")
"""Fleet manager, rental desk and mechanic of the demo."""

TAKES = 405
"""Status of an address that takes what is sent, asked to show something."""

LEAD_ON = {
    "home", "find-sheet", "sign-in", "check-out", "check-in", "intervals-copy",
    "all-shops", "booking-another", "typed-before",
}  # fmt: skip
"""Addresses that may only lead to another page: to the one's own, or to what is out already."""

SHUT = {
    "fleet_reading_add", "fleet_reading_delete", "fleet_servicerecord_add",
    "fleet_servicerecord_delete", "fleet_person_delete",
}  # fmt: skip
"""Sheets that are closed to all: such facts are added elsewhere, and never struck out."""

NOT_PAGES = {
    "autocomplete": "answers a field that is typed in",
    "jsi18n": "a script",
    "view_on_site": "no model of ours has such an address",
    "None": "a sheet's address as it was long ago, and whatever is no address",
    "first-run": "opens on an empty site alone, and has tests of its own",
    "metrics": "answers a program that has the key, and has tests of its own",
    "sign-out": "takes a press alone, and would sign the visitor out",
    "sign-out-everywhere": "the same, and has tests of its own",
}


_LACKED = "a picture that a copied database may lack"
ON_DISK = {
    "hand-over-photo": _LACKED, "finding-photo": _LACKED, "step-photo": _LACKED,
    "step-picture": _LACKED,
}  # fmt: skip
"""Name of a page -> why it may not be there."""

NOT_FOR_PEOPLE = {"interface": "answers other programs, each with its key, and has its own tests"}
"""Name of a space of addresses -> why nobody opens them in a browser."""

KEY = re.compile(r"(?<![\w:])(?:m:\d+:\d+|f:\d+|s:[^\s:]+:[-\w]+)(?![\w:])")
"""A key of work, of today or of the first release, among the words of a page."""
TAG = re.compile(r"<[^>]*>")


@dataclass
class Found:
    """What came of it.

    seen: address -> the status that each person got.  faults: sentences, none where all is well.
    unseen: names of pages that could not be opened, since nothing is there to open them with.
    """

    seen: dict[str, dict[str, int]] = field(default_factory=dict)
    faults: list[str] = field(default_factory=list)
    unseen: list[str] = field(default_factory=list)


def open_every_page(people: Sequence[str] = PEOPLE, *, sheets: bool = True) -> Found:
    """Open every page as each of the people, signed in by their user names.

    sheets: those of the set-up too, which are two thirds of all.

    A page is well where nobody meets a fault of the site, and at least one of them may see it.
    """
    clients = {who: _signed_in(who) for who in people}
    found = Found()
    for page in pages():
        if page.is_sheet and not sheets:
            continue
        if not page.examples:
            found.unseen.append(page.name)
        for arguments in page.examples:
            address = reverse(page.called, kwargs=arguments)
            answers = {who: _open(client, who, address, found) for who, client in clients.items()}
            if TAKES in answers.values():
                continue  # it takes what is sent, and shows nothing
            found.seen[address] = answers
            wanted = _wanted(page.name)
            if not wanted & set(answers.values()):
                found.faults.append(f"{address} is seen by nobody: {answers}")
    return found


def _wanted(name: str) -> set[int]:
    if name in SHUT:
        return {403}
    if name in ON_DISK:
        return {200, 404}
    return {200, 302} if name in LEAD_ON else {200}


def _signed_in(username: str) -> Client:
    client = Client(SERVER_NAME="127.0.0.1", raise_request_exception=True)
    client.force_login(
        Person.objects.get(username=username), "django.contrib.auth.backends.ModelBackend"
    )
    return client


def _open(client: Client, who: str, address: str, found: Found) -> int:
    """Return the status; what breaks inside is a fault, told by its own words."""
    try:
        answer = client.get(address)
    except Exception as error:  # any of them is what we look for
        found.faults.append(f"{address} as {who}: {type(error).__name__}: {error}")
        return 500
    status: int = answer.status_code
    if address == reverse("healthz"):
        return 200  # whether a worker is there is not the page's fault
    if status >= 500:
        found.faults.append(f"{address} as {who}: {status}")
    kind = answer.headers.get("Content-Type", "")
    if not answer.streaming and kind.startswith("text/"):
        found.faults += [f"{address} shows {who} a key: {key}" for key in shown_keys(answer.text)]
    sent_to = answer.headers.get("Location", "")
    return 403 if status == 302 and "sign-in" in sent_to else status


def shown_keys(page: str) -> list[str]:
    """Return the keys of work that a page shows; in its fields they may stand."""
    return KEY.findall(TAG.sub(" ", page))


@dataclass(frozen=True)
class Page:
    """One page of the site: its name alone and as it is called, and arguments to open it with."""

    name: str
    called: str
    examples: list[dict[str, Any]]

    @property
    def is_sheet(self) -> bool:
        """Whether it is a sheet of the set-up."""
        return self.called != self.name


def pages() -> Iterator[Page]:
    """Yield every page."""
    for space, pattern in _patterns(get_resolver(), ""):
        name = str(pattern.name)
        if name not in NOT_PAGES and space not in NOT_FOR_PEOPLE:
            called = f"{space}:{name}" if space else name
            wanted = list(pattern.pattern.regex.groupindex)
            yield Page(name, called, _examples(space, name, wanted))


def _patterns(resolver: URLResolver, space: str) -> Iterator[tuple[str, URLPattern]]:
    for each in resolver.url_patterns:
        if isinstance(each, URLPattern):
            yield space, each
        else:
            yield from _patterns(each, each.namespace or space)


def _examples(space: str, name: str, wanted: list[str]) -> list[dict[str, Any]]:
    """Return real arguments; a page with arguments that has none here is told apart at once."""
    if not wanted:
        return [{}]
    if name == "app_list":
        return [{"app_label": "fleet"}]
    if space:
        return [{wanted[0]: pk} for pk in _pks_of_sheet(name)]
    if name not in EXAMPLES:
        raise LookupError(f"say in EXAMPLES what the page {name!r} is opened with: {wanted}")
    return EXAMPLES[name]()


def _pks_of_sheet(name: str) -> list[Any]:
    if name == "auth_user_password_change":
        return _first(apps.get_model("fleet.Person"))
    label, model, _what = name.split("_")
    return _first(apps.get_model(label, model))


def _people(**rows: Any) -> list[dict[str, Any]]:
    return [{"pk": pk} for pk in _first(Person, **rows)]


def _first(model: type[Model], most: int = 1, **rows: Any) -> list[Any]:
    return list(model._default_manager.filter(**rows).values_list("pk", flat=True)[:most])


def _imports() -> list[dict[str, Any]]:
    """An import; one that brought nothing in where there is none, as on a demo."""
    if not Import.objects.exists():
        Import.objects.create(
            file_name="fleet.xlsx", stage=Import.Stage.DONE, made_at=timezone.now()
        )
    return _pk_of(Import)


def _class_lines() -> list[dict[str, Any]]:
    """An open booking of a class; one made for it where there is none, as on an old site."""
    if not ClassLine.objects.filter(booking=None, cancelled_at=None).exists():
        machine, now = Machine.objects.filter(retired_on=None).first(), timezone.now()
        hire = Hire.objects.first()
        if machine is None or hire is None:
            return []
        ClassLine.objects.create(
            hire=hire, machine_class=machine.makeup.machine_class, yard=machine.yard,
            first_day=now.date(), last_day=now.date(), made_at=now,
        )  # fmt: skip
    return _first_of(ClassLine.objects.filter(booking=None, cancelled_at=None))


def _waits() -> list[dict[str, Any]]:
    """A customer who waits; one made where there is none, as on a demo."""
    if not Waiting.objects.exists():
        machine, now = Machine.objects.filter(retired_on=None).first(), timezone.now()
        customer = Customer.objects.first()
        if machine is None or customer is None:
            return []
        Waiting.objects.create(
            customer=customer, machine_class=machine.makeup.machine_class, yard=machine.yard,
            first_day=now.date(), last_day=now.date(), made_at=now,
        )  # fmt: skip
    return _pk_of(Waiting)


def _feed_keys() -> list[dict[str, Any]]:
    """The address of a calendar of bookings; one made for it where there is none."""
    shop = Shop.objects.first()
    if shop and not FeedKey.objects.exists():
        FeedKey.objects.create(shop=shop, made_at=timezone.now())
    return [{"token": feed_token(key)} for key in FeedKey.objects.all()[:1]]


def _first_of(rows: QuerySet[Any]) -> list[dict[str, Any]]:
    return [{"pk": pk} for pk in rows.values_list("pk", flat=True)[:1]]


def _tags() -> list[dict[str, Any]]:
    """A machine with work planned, a held one, a retired one and the first, as far as there."""
    rows = [
        Machine.objects.filter(pk__in=PlannedJob.objects.values("machine")),
        Machine.objects.filter(holds__released_at=None, holds__isnull=False),
        Machine.objects.exclude(retired_on=None),
        Machine.objects.all(),
    ]
    first = [each.order_by("pk").values_list("tag", flat=True).first() for each in rows]
    return [{"tag": tag} for tag in dict.fromkeys(first) if tag]


def _bookings() -> list[dict[str, Any]]:
    """One not yet out, one out, one back, one called off, as far as there."""
    out = HandOver.objects.filter(direction=HandOver.Direction.OUT).values("booking")
    back = HandOver.objects.filter(direction=HandOver.Direction.BACK).values("booking")
    standing = Booking.objects.filter(cancelled_at=None)
    rows = [
        standing.exclude(pk__in=out),
        standing.filter(pk__in=out).exclude(pk__in=back),
        standing.filter(pk__in=back),
        Booking.objects.exclude(cancelled_at=None),
    ]
    first = [
        each.order_by("-first_day", "pk").values_list("pk", flat=True).first() for each in rows
    ]
    return [{"pk": pk} for pk in dict.fromkeys(first) if pk]


def _of_hand_over(model: Any) -> list[dict[str, Any]]:
    """Return what is kept with a hand-over, by both numbers."""
    found = [{"pk": row.hand_over_id, "number": row.pk} for row in model.objects.all()[:1]]
    return found or [{"pk": 1, "number": 1}]


def _waiting() -> list[dict[str, Any]]:
    """A booking that may be let out or taken back, whichever the page is about."""
    return _bookings()[:2]


def _pk_of(model: type[Model], key: str = "pk", most: int = 1) -> list[dict[str, Any]]:
    return [{key: pk} for pk in _first(model, most)]


def _notices() -> list[dict[str, Any]]:
    """One to each of the people, since a letter is seen by its reader alone."""
    firsts = [
        Notice.objects.filter(person__username=who).values_list("pk", flat=True).first()
        for who in PEOPLE
    ]
    return [{"pk": pk} for pk in firsts if pk]


def _searches() -> list[dict[str, Any]]:
    """A search for a fault; one begun for it where there is none, as on an old site."""
    machine, who = Machine.objects.first(), Person.objects.first()
    if machine and who and not FaultSearch.objects.exists():
        FaultSearch.objects.create(
            machine=machine, symptom="dead", words="Dead", begun_at=timezone.now(),
            begun_by=who, form_key="every-page",
        )  # fmt: skip
    return _pk_of(FaultSearch)


def _copies() -> list[dict[str, Any]]:
    """A procedure of the library; one taken for it where there is none, as on an old site."""
    if not LibraryCopy.objects.exists() and (service := Service.objects.first()):
        LibraryCopy.objects.create(
            service=service, code="quad-basic", body={}, taken_at=timezone.now()
        )
    return [{"pk": pk} for pk in LibraryCopy.objects.values_list("service", flat=True)[:1]]


def _steps() -> list[dict[str, Any]]:
    rows = ServiceStep.objects.values_list("service", "pk")[:1]
    return [{"pk": service, "step": step} for service, step in rows]


def _letter(url: Callable[[Notice], str]) -> list[dict[str, Any]]:
    """The token of the address that a letter links to."""
    return [{"token": url(row).rstrip("/").rpartition("/")[2]} for row in Notice.objects.all()[:1]]


def _feeds(name: str, of: Callable[[Person], Any]) -> list[dict[str, Any]]:
    """The calendars of whoever has an address for theirs."""
    keys = CalendarKey.objects.select_related("person").order_by("pk")[:1]
    return [{"token": token_of(key), name: of(key.person)} for key in keys]


def _trials(**more: Any) -> list[dict[str, Any]]:
    return [row | more for row in _pk_of(Trial)]


def _password_links() -> list[dict[str, Any]]:
    """A link that a manager gives to somebody at the desk."""
    person = Person.objects.filter(role=Role.DESK).order_by("pk").first()
    if person is None:
        return []
    token = link_for(person).rstrip("/").rpartition("/")[2]
    return [{"pk": person.pk, "token": token}]


def _others() -> list[dict[str, Any]]:
    return _first_of(Person.objects.filter(role=Role.DESK).order_by("pk"))


EXAMPLES: dict[str, Callable[[], list[dict[str, Any]]]] = {
    "machine": _tags,
    **dict.fromkeys(
        (
            "machine-rename",
            "machine-move",
            "machine-retire",
            "machine-back",
            "machine-merge",
            "machine-bookings",
            "ask-on-occasion",
        ),
        _tags,
    ),
    "job": _tags,
    "new-password": _password_links,
    **dict.fromkeys(
        ("person-doors", "person-link", "person-look", "person-sign-out", "who-looks-end"), _others
    ),
    "risk-group": lambda: [{"name": one} for one in ("in-time", "out-now", "later")],
    "yard-file": lambda: [{"what": "overdue", "kind": "csv"}, {"what": "costs", "kind": "xlsx"}],
    **dict.fromkeys(
        ("machines-file", "planned-done-file", "parts-to-order-file", "hindsight-file"),
        lambda: [{"kind": "csv"}],
    ),
    "shop-day-job": lambda: _pk_of(PlannedJob),
    "hold-machine": _tags,
    "safe-to-release": _tags,
    "hold": lambda: _pk_of(Hold),
    "release-hold": lambda: _pk_of(Hold),
    "change-hold": lambda: _pk_of(Hold),
    "put-off": _tags,
    "leave-work": _tags,
    "add-work": _tags,
    "keep-entries": _tags,
    **dict.fromkeys(
        ("order-ordered", "order-received", "order-drop", "order-back"),
        lambda: _pk_of(OrderLine) or [{"pk": 1}],
    ),
    "let-entries-go": _tags,
    "counter-book": _tags,
    "booking": _bookings,
    "booking-last-day": _bookings,
    **dict.fromkeys(("ways-out", "take-way-out"), lambda: _bookings()[:1]),
    "booking-off": _bookings,
    "override-seen": lambda: _pk_of(Override),
    "override-back": lambda: _pk_of(Override),
    "booking-correct": _bookings,
    "booking-another": _bookings,
    "booking-back-in": _bookings,
    **dict.fromkeys(("hire", "hire-correct", "hire-add", "hire-add-class"), lambda: _pk_of(Hire)),
    **dict.fromkeys(
        ("class-line", "class-line-off", "class-line-change", "class-line-back-in"), _class_lines
    ),
    **dict.fromkeys(
        ("wait-book", "wait-off", "wait-change", "wait-back"),
        _waits,
    ),
    **dict.fromkeys(("customer", "customer-correct", "customer-merge"), lambda: _pk_of(Customer)),
    "check-out": _waiting,
    "check-in": _waiting,
    "calendar-shop": lambda: _feeds("shop", lambda person: person.shop_id),
    "calendar-mechanic": lambda: _feeds("username", lambda person: person.username),
    "booking-feed": _feed_keys,
    "booking-feed-close": lambda: _pk_of(FeedKey) or [{"pk": 1}],
    "letter-answer": lambda: _letter(answer_url),
    "letter-stop": lambda: _letter(stop_url),
    "night-run": lambda: _pk_of(Shop),
    "hand-link": lambda: [{"word": "a-link-that-was-taken-back"}],
    **dict.fromkeys(
        ("hand-keys", "hand-keys-back"), lambda: _people(role__in=("hand", "mechanic"))
    ),
    "client-key-revoke": lambda: _pk_of(ClientKey) or [{"pk": 1}],
    "broke-mend": lambda: [{"what": "away"}],
    "trial-new": lambda: [{"what": "closed"}],
    "trial": _trials,
    "trial-add": lambda: _trials(what="closed"),
    "trial-without": lambda: _trials(number=0),
    "trial-again": _trials,
    "trial-drop": _trials,
    "trial-publish": _trials,
    "notice": _notices,
    "plan-progress": lambda: _pk_of(PlanSearch),
    "mend-many": lambda: [{"reason": "backwards"}],
    "bring-in-file": _imports,
    "bring-in-come": _imports,
    "bring-in-leave": _imports,
    "bring-in-undo": _imports,
    "bring-in-complete": _imports,
    "bring-in-refused": _imports,
    "meter-round-line": lambda: _pk_of(Meter, "meter_id"),
    "reading": lambda: _pk_of(Reading),
    "hand-over-correct": lambda: _pk_of(HandOver),
    "hand-over-undo": lambda: _pk_of(HandOver),
    **dict.fromkeys(("scan", "scan-wrong"), lambda: _pk_of(Machine)),
    "slip": lambda: _pk_of(HandOver),
    **dict.fromkeys(
        ("hand-over-extras", "hand-over-add-photo", "hand-over-charge"), lambda: _pk_of(HandOver)
    ),
    **dict.fromkeys(
        ("hand-over-photo", "hand-over-photo-strike"), lambda: _of_hand_over(HandOverPhoto)
    ),
    "hand-over-charge-strike": lambda: _of_hand_over(HandOverCharge),
    "slip-pdf": lambda: _pk_of(HandOver),
    "undo": lambda: _pk_of(Act) or [{"pk": 1}],
    "meter": lambda: _pk_of(Meter),
    "meter-swap": lambda: _pk_of(Meter),
    "meter-reswap": lambda: _pk_of(Meter),
    "meter-unswap": lambda: _pk_of(Meter),
    "record": lambda: _pk_of(ServiceRecord),
    "finding": lambda: _pk_of(Finding),
    "finding-photo": lambda: (
        [{"pk": one.finding_id, "number": one.pk} for one in FindingPhoto.objects.all()[:1]]
        or [{"pk": 1, "number": 1}]
    ),
    "finding-photo-strike": lambda: (
        [{"pk": one.finding_id, "number": one.pk} for one in FindingPhoto.objects.all()[:1]]
        or [{"pk": 1, "number": 1}]
    ),
    "step-photos": _tags,
    "step-picture": lambda: (
        [{"number": pk} for pk in StepPicture.objects.values_list("pk", flat=True)[:1]]
        or [{"number": 1}]
    ),
    **dict.fromkeys(
        ("step-photo", "step-photo-strike"),
        lambda: (
            [{"number": pk} for pk in WorkPhoto.objects.values_list("pk", flat=True)[:1]]
            or [{"number": 1}]
        ),
    ),
    "left-work-take-back": lambda: (
        [{"number": pk} for pk in Progress.objects.values_list("pk", flat=True)[:1]]
        or [{"number": 1}]
    ),
    "finding-settle": lambda: _pk_of(Finding),
    "finding-strike": lambda: _pk_of(Finding),
    "finding-reopen": lambda: _pk_of(Finding),
    "shelf-part": lambda: _pk_of(Part),
    "shelf-recount": lambda: _pk_of(StockMovement),
    "shelf-strike": lambda: _pk_of(StockMovement),
    "record-strike": lambda: _pk_of(ServiceRecord),
    "mend-reading": lambda: _pk_of(ReadingToMend),
    "last-done-of-class": lambda: _pk_of(MachineClass),
    "interval": lambda: _pk_of(Interval),
    "interval-take-out": lambda: _pk_of(Interval),
    "intervals": lambda: _pk_of(MakeUp),
    "interval-new": lambda: _pk_of(MakeUp),
    "machine-interval-new": _tags,
    "intervals-copy": lambda: _pk_of(MakeUp),
    "faults": _tags,
    **dict.fromkeys(("fault", "fault-found"), _searches),
    "manual": lambda: _pk_of(MakeUp),
    "procedure": lambda: _pk_of(Service),
    "book-file": lambda: [{**one, "kind": "csv"} for one in _tags()],
    "procedure-file": lambda: [{**one, "kind": "xlsx"} for one in _pk_of(Service)],
    "procedures-file": lambda: [{"kind": "csv"}],
    "procedure-offered": _copies,
    "procedure-step-new": lambda: _pk_of(Service),
    "procedure-step": _steps,
}
"""Name of a page with arguments -> what it is opened with."""

for _thing in THINGS:
    for _end in ("edit", "out"):
        EXAMPLES[f"set-up-{_thing.key}-{_end}"] = partial(_pk_of, _thing.model)
