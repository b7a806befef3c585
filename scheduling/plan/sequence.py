"""Which work of a machine comes before which, what keeps apart, and the order within a visit."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from fleet.models import Service
from scheduling.facts.covered_services import covered_services
from scheduling.plan.work_to_plan import WorkToPlan

Pairs = dict[str, tuple[str, ...]]
"""Key of the work -> keys of other work of the same machine."""


@dataclass(frozen=True)
class WorkSequence:
    """after: work to be done before; apart: work never done in one visit with it."""

    after: Pairs
    apart: Pairs


def load_order(work: Sequence[WorkToPlan]) -> WorkSequence:
    """Return what binds the work of each machine together, with three queries."""
    follows, apart = _pairs(Service.follows.through), _pairs(Service.apart_from.through)
    does = covered_services()
    of_machine: dict[int, list[WorkToPlan]] = {}
    for one in work:
        if one.service is not None:
            of_machine.setdefault(one.machine, []).append(one)
    found = WorkSequence({}, {})
    for group in of_machine.values():
        for one in sorted(group, key=lambda w: w.turn):
            wanted = follows.get(one.service or 0, set())
            before = [w for w in group if w is not one and _done_by(w, does) & wanted]
            _add_after(found.after, one.key, sorted(w.key for w in before))
            keeps = apart.get(one.service or 0, set())
            found.apart[one.key] = tuple(
                sorted(w.key for w in group if w is not one and w.service in keeps)
            )
    return found


def _pairs(through: type) -> dict[int, set[int]]:
    found: dict[int, set[int]] = {}
    rows = through.objects.order_by("pk")  # type: ignore[attr-defined]
    for one, other in rows.values_list("from_service_id", "to_service_id"):
        found.setdefault(one, set()).add(other)
    return found


def _done_by(work: WorkToPlan, does: Mapping[int, set[int]]) -> set[int]:
    """Return the services that count as done once this work is."""
    return {work.service or 0} | does.get(work.service or 0, set())


def _add_after(after: Pairs, key: str, before: Iterable[str]) -> None:
    """Add what comes before a piece of work, but for what would come after itself.

    Set-up refuses circles; one that came in another way must not stop the plan of a shop.
    """
    kept = tuple(one for one in before if key not in _all_before(one, after))
    after[key] = kept


def _all_before(key: str, after: Pairs) -> set[str]:
    found: set[str] = set()
    ahead = [key]
    while ahead:
        fresh = set(after.get(ahead.pop(), ())) - found
        found |= fresh
        ahead += fresh
    return found


def in_order(
    visit: Iterable[WorkToPlan], order: WorkSequence, setups_of: Mapping[int, list[str]]
) -> list[WorkToPlan]:
    """Return the work of a visit as it is best done.

    What must come before comes before; else work under way first, then repairs, then services that
    share a set-up side by side, the longest first (common practice).
    """
    rest = sorted(
        visit,
        key=lambda w: (
            w.begun is None, w.finding is None, setups_of.get(w.service or 0, []),
            -w.minutes, w.turn,
        ),
    )  # fmt: skip
    done: list[WorkToPlan] = []
    while rest:
        waiting = {one.key for one in rest}
        free = next((w for w in rest if not waiting & set(order.after.get(w.key, ()))), rest[0])
        rest.remove(free)
        done.append(free)
    return done
