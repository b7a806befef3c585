"""Who may do what, in one table: for each address its roles, its methods and how far it reaches.

`fleet.gate` goes by it before any page is asked, and `tests/fleet/test_who_may.py` walks every
address against it as each of the people.  An address that is not here fails that test.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from fleet.models import Role
from fleet.models.people import MANAGING

SPACES = {"sheets": "sheets", "interface": "interface"}
"""Spaces of addresses that are told as one line each."""


class Reach(StrEnum):
    """Whose things an address shows or changes, to somebody bound to one shop."""

    OWN_SHOP = "own shop"
    """Those of the shop; another's are not there."""
    ALL_ALIKE = "set up for all shops together, or a customer of the house"
    EVERY_SHOP = "only for who looks after every shop there is"
    ONESELF = "one's own alone"
    BY_KEY = "what the key in the address or the request is for"


@dataclass(frozen=True)
class MayDo:
    """What an address asks of who comes.

    reads, writes: roles for GET and HEAD, and for POST; empty: the method is not taken.
    signed_out: whether nobody has to be signed in.  row_decides: whether, within these roles, it is
    the row that says who may (who typed it, whose list it is).
    """

    reads: frozenset[Role]
    writes: frozenset[Role]
    reach: Reach
    signed_out: bool = False
    row_decides: bool = False


MANAGERS = frozenset(MANAGING)
DESK = MANAGERS | {Role.DESK}
SHOP = MANAGERS | {Role.MECHANIC}
ALL = frozenset(Role)
STAFF = ALL - {Role.HAND}
"""Who sees more than a machine that they stand before: hands see no price, customer or plan."""
NONE: frozenset[Role] = frozenset()


def _rows(names: str, may: MayDo) -> Iterable[tuple[str, MayDo]]:
    return [(name, may) for name in names.split()]


def _things() -> Iterable[tuple[str, MayDo]]:
    """The things of Set-up: a list, a new one, one to be changed, one to be taken out."""
    reach = dict.fromkeys(("yards", "people", "machines", "shops"), Reach.OWN_SHOP)
    for key in ("shops", "yards", "people", "classes", "make-ups", "machines", "services", "parts"):
        far = reach.get(key, Reach.ALL_ALIKE)
        new = Reach.EVERY_SHOP if key == "shops" else far
        yield f"set-up-{key}", MayDo(MANAGERS, NONE, far)
        yield f"set-up-{key}-new", MayDo(MANAGERS, MANAGERS, new)
        yield f"set-up-{key}-edit", MayDo(MANAGERS, MANAGERS, far)
        if key != "people":  # the book keeps the names of people who left
            yield f"set-up-{key}-out", MayDo(NONE, MANAGERS, far)


WHO_MAY: dict[str, MayDo] = dict(
    [
        # the way in
        *_rows("sign-in first-run", MayDo(ALL, ALL, Reach.ONESELF, signed_out=True)),
        *_rows("hand-code hand-link", MayDo(ALL, ALL, Reach.BY_KEY, signed_out=True)),
        *_rows("hand-keys", MayDo(MANAGERS, MANAGERS, Reach.OWN_SHOP)),
        *_rows("hand-keys-back", MayDo(NONE, MANAGERS, Reach.OWN_SHOP)),
        *_rows("choose-language", MayDo(NONE, ALL, Reach.ONESELF, signed_out=True)),
        *_rows(
            "no-signal no-signal-worker phone-who",
            MayDo(ALL, NONE, Reach.ONESELF, signed_out=True),
        ),
        *_rows("password-forgotten new-password", MayDo(ALL, ALL, Reach.BY_KEY, signed_out=True)),
        *_rows("own-password", MayDo(STAFF, STAFF, Reach.ONESELF)),
        *_rows("sign-out-everywhere", MayDo(NONE, ALL, Reach.ONESELF)),
        *_rows("person-doors", MayDo(MANAGERS, NONE, Reach.OWN_SHOP)),
        *_rows("person-link person-sign-out person-look", MayDo(NONE, MANAGERS, Reach.OWN_SHOP)),
        *_rows("who-looks", MayDo(MANAGERS, MANAGERS, Reach.OWN_SHOP)),
        *_rows("who-looks-end", MayDo(NONE, MANAGERS, Reach.OWN_SHOP)),
        *_rows("healthz", MayDo(ALL, NONE, Reach.BY_KEY, signed_out=True)),
        *_rows("metrics", MayDo(ALL, NONE, Reach.BY_KEY, signed_out=True)),
        *_rows("letter-answer letter-stop", MayDo(ALL, ALL, Reach.BY_KEY, signed_out=True)),
        *_rows("letters", MayDo(STAFF, STAFF, Reach.ONESELF)),
        *_rows("letter-test", MayDo(NONE, STAFF, Reach.ONESELF)),
        *_rows("nights", MayDo(MANAGERS, NONE, Reach.OWN_SHOP)),
        *_rows("night-run", MayDo(NONE, MANAGERS, Reach.OWN_SHOP)),
        *_rows("sign-out", MayDo(NONE, ALL, Reach.ONESELF)),
        *_rows("typed-before", MayDo(ALL, NONE, Reach.ONESELF)),
        *_rows("home", MayDo(ALL, NONE, Reach.ONESELF)),
        *_rows("notice", MayDo(STAFF, NONE, Reach.ONESELF, row_decides=True)),
        *_rows("notices letters", MayDo(STAFF, STAFF, Reach.ONESELF)),
        *_rows("letter-test", MayDo(NONE, STAFF, Reach.ONESELF)),
        *_rows("undo", MayDo(NONE, ALL, Reach.OWN_SHOP, row_decides=True)),
        # calendars and other programs: a key takes the place of signing in
        *_rows(
            "booking-feed calendar-shop calendar-mechanic",
            MayDo(ALL, NONE, Reach.BY_KEY, signed_out=True),
        ),
        *_rows("letter-answer letter-stop", MayDo(ALL, ALL, Reach.BY_KEY, signed_out=True)),
        *_rows("metrics", MayDo(ALL, NONE, Reach.BY_KEY, signed_out=True)),
        *_rows("interface", MayDo(ALL, ALL, Reach.BY_KEY, signed_out=True)),
        # set-up
        *_things(),
        *_rows("set-up first-steps", MayDo(MANAGERS, MANAGERS, Reach.OWN_SHOP)),
        *_rows("sheets", MayDo(MANAGERS, MANAGERS, Reach.OWN_SHOP)),
        *_rows("changes changes-file", MayDo(MANAGERS, NONE, Reach.OWN_SHOP)),
        *_rows("client-keys", MayDo(MANAGERS, MANAGERS, Reach.OWN_SHOP)),
        *_rows("client-key-revoke", MayDo(NONE, MANAGERS, Reach.OWN_SHOP)),
        *_rows("all-intervals", MayDo(MANAGERS, NONE, Reach.ALL_ALIKE)),
        *_rows(
            "interval intervals interval-new intervals-copy",
            MayDo(MANAGERS, MANAGERS, Reach.ALL_ALIKE),
        ),
        *_rows("interval-take-out", MayDo(NONE, MANAGERS, Reach.ALL_ALIKE)),
        *_rows("procedure procedure-file", MayDo(SHOP, NONE, Reach.ALL_ALIKE)),
        *_rows("procedures-file", MayDo(MANAGERS, NONE, Reach.ALL_ALIKE)),
        *_rows(
            "procedures procedure-offered manual procedure-step procedure-step-new",
            MayDo(MANAGERS, MANAGERS, Reach.ALL_ALIKE),
        ),
        *_rows("machine-interval-new", MayDo(MANAGERS, MANAGERS, Reach.OWN_SHOP)),
        *_rows("last-done last-done-of-class", MayDo(SHOP, SHOP, Reach.OWN_SHOP)),
        *_rows("bring-in", MayDo(MANAGERS, MANAGERS, Reach.OWN_SHOP)),
        *_rows(
            "bring-in-sample bring-in-file bring-in-refused",
            MayDo(MANAGERS, NONE, Reach.OWN_SHOP),
        ),
        *_rows(
            "bring-in-come bring-in-leave bring-in-undo bring-in-complete",
            MayDo(NONE, MANAGERS, Reach.OWN_SHOP),
        ),
        # machines, meters, the book
        *_rows("machines machine machines-file book-file", MayDo(STAFF, NONE, Reach.OWN_SHOP)),
        *_rows(
            "machine-rename machine-move machine-retire machine-back machine-merge",
            MayDo(MANAGERS, MANAGERS, Reach.OWN_SHOP),
        ),
        *_rows("labels label-sheet", MayDo(STAFF, NONE, Reach.OWN_SHOP)),
        *_rows("scan", MayDo(ALL, ALL, Reach.OWN_SHOP)),
        *_rows("ask-on-occasion", MayDo(NONE, STAFF, Reach.OWN_SHOP)),
        *_rows("scan-wrong", MayDo(NONE, ALL, Reach.OWN_SHOP)),
        *_rows("machine-bookings", MayDo(DESK, DESK, Reach.OWN_SHOP)),
        *_rows("meter-round", MayDo(ALL, ALL, Reach.OWN_SHOP)),
        *_rows("meter-round-line", MayDo(NONE, ALL, Reach.OWN_SHOP)),
        *_rows("readings-to-mend meter", MayDo(STAFF, NONE, Reach.OWN_SHOP)),
        *_rows("mend-many mend-again mend-reading", MayDo(NONE, STAFF, Reach.OWN_SHOP)),
        *_rows("meter-swap meter-reswap meter-unswap", MayDo(NONE, SHOP, Reach.OWN_SHOP)),
        *_rows("reading", MayDo(ALL, ALL, Reach.OWN_SHOP, row_decides=True)),
        *_rows("record finding", MayDo(STAFF, STAFF, Reach.OWN_SHOP, row_decides=True)),
        *_rows("finding-photo step-photo", MayDo(STAFF, NONE, Reach.OWN_SHOP)),
        *_rows("step-picture", MayDo(STAFF, NONE, Reach.ALL_ALIKE)),
        *_rows("step-photos", MayDo(NONE, SHOP, Reach.OWN_SHOP)),
        *_rows("left-work-take-back", MayDo(NONE, SHOP, Reach.OWN_SHOP, row_decides=True)),
        *_rows("step-photo-strike", MayDo(NONE, SHOP, Reach.OWN_SHOP, row_decides=True)),
        *_rows(
            "record-strike finding-strike finding-reopen finding-photo-strike",
            MayDo(NONE, STAFF, Reach.OWN_SHOP, row_decides=True),
        ),
        *_rows("finding-settle", MayDo(NONE, SHOP, Reach.OWN_SHOP)),
        *_rows("faults fault", MayDo(SHOP, SHOP, Reach.OWN_SHOP)),
        *_rows("fault-found", MayDo(NONE, SHOP, Reach.OWN_SHOP)),
        *_rows("shelf", MayDo(SHOP, NONE, Reach.OWN_SHOP)),
        *_rows("shelf-part", MayDo(SHOP, SHOP, Reach.ALL_ALIKE)),
        *_rows("order-list order-file", MayDo(SHOP, NONE, Reach.OWN_SHOP)),
        *_rows(
            "order-ordered order-received order-drop order-back",
            MayDo(NONE, MANAGERS, Reach.OWN_SHOP),
        ),
        *_rows("pull-missing", MayDo(NONE, SHOP, Reach.OWN_SHOP)),
        *_rows("shelf-recount shelf-strike", MayDo(NONE, SHOP, Reach.OWN_SHOP)),
        *_rows("hold-machine", MayDo(STAFF, STAFF, Reach.OWN_SHOP)),
        *_rows("hold", MayDo(STAFF, NONE, Reach.OWN_SHOP)),
        *_rows("safe-to-release", MayDo(SHOP, NONE, Reach.OWN_SHOP)),
        *_rows("release-hold change-hold", MayDo(NONE, STAFF, Reach.OWN_SHOP, row_decides=True)),
        # the desk
        *_rows("counter find waits counter-calendar", MayDo(DESK, NONE, Reach.OWN_SHOP)),
        *_rows("customers customers-known customer", MayDo(DESK, NONE, Reach.ALL_ALIKE)),
        *_rows("customer-correct customer-merge", MayDo(NONE, DESK, Reach.ALL_ALIKE)),
        *_rows(
            "hire booking slip slip-pdf hand-over-extras",
            MayDo(DESK, NONE, Reach.OWN_SHOP),
        ),
        *_rows("hand-over-photo", MayDo(STAFF, NONE, Reach.OWN_SHOP)),
        *_rows(
            "hand-over-add-photo hand-over-charge hand-over-photo-strike hand-over-charge-strike",
            MayDo(NONE, DESK, Reach.OWN_SHOP),
        ),
        *_rows("wait wait-change class-line booking-feeds", MayDo(DESK, DESK, Reach.OWN_SHOP)),
        *_rows(
            "hire-correct hire-add hire-add-class class-line-off class-line-change"
            " class-line-back-in wait-book wait-off wait-back"
            " booking-last-day booking-off booking-back-in hand-over-undo override-back",
            MayDo(NONE, DESK, Reach.OWN_SHOP),
        ),
        *_rows("booking-feed-close", MayDo(NONE, DESK, Reach.OWN_SHOP, row_decides=True)),
        *_rows(
            "counter-book walk-in check-out check-in hand-over-correct booking-correct"
            " booking-another",
            MayDo(DESK, DESK, Reach.OWN_SHOP),
        ),
        # the shop
        *_rows(
            "yard range-record ways-out hindsight hindsight-file",
            MayDo(MANAGERS, NONE, Reach.OWN_SHOP),
        ),
        *_rows("parts-to-order parts-to-order-file", MayDo(MANAGERS, NONE, Reach.OWN_SHOP)),
        *_rows("parts-put-on-list", MayDo(NONE, MANAGERS, Reach.OWN_SHOP)),
        *_rows("hindsight-ask hindsight-stop", MayDo(NONE, MANAGERS, Reach.OWN_SHOP)),
        *_rows("work-weeks year-costs risk-group all-shops", MayDo(MANAGERS, NONE, Reach.OWN_SHOP)),
        *_rows("yard-file nights", MayDo(MANAGERS, NONE, Reach.OWN_SHOP)),
        *_rows("night-run", MayDo(NONE, MANAGERS, Reach.OWN_SHOP)),
        *_rows("override-seen take-way-out", MayDo(NONE, MANAGERS, Reach.OWN_SHOP)),
        *_rows(
            "bench bench-paper bench-cards shop-days planned-done",
            MayDo(SHOP, NONE, Reach.OWN_SHOP),
        ),
        *_rows("plan-searches plan-progress trials trial broke", MayDo(SHOP, NONE, Reach.OWN_SHOP)),
        *_rows("day-along", MayDo(SHOP | {Role.HAND}, NONE, Reach.OWN_SHOP)),
        *_rows("job", MayDo(SHOP, SHOP, Reach.OWN_SHOP)),
        *_rows("find-sheet shop-day-job planned-done-file", MayDo(SHOP, NONE, Reach.OWN_SHOP)),
        *_rows("keep-entries let-entries-go", MayDo(NONE, SHOP, Reach.OWN_SHOP)),
        *_rows("put-off leave-work add-work broke-mend", MayDo(NONE, SHOP, Reach.OWN_SHOP)),
        *_rows(
            "move-work free-work overtime-back publish plan-again"
            " trial-new trial-add trial-without",
            MayDo(NONE, MANAGERS, Reach.OWN_SHOP),
        ),
        *_rows(
            "trial-again trial-drop trial-publish",
            MayDo(NONE, SHOP, Reach.OWN_SHOP, row_decides=True),
        ),
        *_rows("calendar", MayDo(SHOP, NONE, Reach.ONESELF)),
        *_rows("calendar-address", MayDo(NONE, SHOP, Reach.ONESELF)),
    ]
)
"""Name of an address, or of its space -> who may."""


def asked_of(space: str, name: str) -> MayDo | None:
    """Return what an address asks; None: nothing is told of it."""
    return WHO_MAY.get(SPACES.get(space, name))
