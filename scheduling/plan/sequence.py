"""Which work of a machine comes before which, what keeps apart, and the order within a visit."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from fleet.models import Service
from fleet.queries.covered_services import covered_services
from scheduling.plan.work_to_plan import WorkToPlan

Pairs = dict[str, tuple[str, ...]]
"""Key of the work -> keys of other work of the same machine."""


@dataclass(frozen=True)
class WorkSequence:
    """after: work to be done before; apart: work never done in one visit with it."""

    after: Pairs
    apart: Pairs


def load_order(work: Sequence[WorkToPlan], pinned: Collection[str] = ()) -> WorkSequence:
    """Return what binds the work of each machine together, with three queries.

    Work that would be done by other work of the machine too is never in one visit with that, and
    comes before it: what comes after it would be done for nothing.  Where a last permitted day
    stands, or somebody said when it is done (pinned), the second part does not bind.
    """
    follows, apart = _pairs(Service.follows.through), _pairs(Service.apart_from.through)
    covered = covered_services()
    of_machine: dict[int, list[WorkToPlan]] = {}
    for one in work:
        if one.service is not None:
            of_machine.setdefault(one.machine, []).append(one)
    found = WorkSequence({}, {})
    for group in of_machine.values():
        does = covered.by_makeup.get(group[0].makeup, {})
        for one in sorted(group, key=lambda w: w.turn):
            wanted = follows.get(one.service or 0, set())
            beside = [w for w in group if w is not one]
            before = {w.key for w in beside if _done_by(w, does) & wanted}
            doubled = [w for w in beside if w.service in does.get(one.service or 0, ())]
            if one.limit_day is None and not one.past_limit and not _said(one, pinned):
                before |= {w.key for w in doubled if not _said(w, pinned)}
            _add_after(found.after, one.key, sorted(before))
            keeps = apart.get(one.service or 0, set())
            apart_of = {w.key for w in beside if w.service in keeps}
            apart_of |= {
                w.key for w in beside if _doubles(one, w, does) and not _both(one, w, pinned)
            }
            found.apart[one.key] = tuple(sorted(apart_of))
    return found


def _doubles(one: WorkToPlan, other: WorkToPlan, does: Mapping[int, set[int]]) -> bool:
    """Whether one of two does the other as well."""
    return other.service in does.get(one.service or 0, ()) or one.service in does.get(
        other.service or 0, ()
    )


def _said(work: WorkToPlan, pinned: Collection[str]) -> bool:
    """Whether somebody said when it is done, or began it."""
    return work.key in pinned or work.begun is not None


def _both(one: WorkToPlan, other: WorkToPlan, pinned: Collection[str]) -> bool:
    return _said(one, pinned) and _said(other, pinned)


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
