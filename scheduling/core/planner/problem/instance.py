"""Read a whole instance of format ``shop-plan-1`` into a problem, or refuse it."""

from .contradictions import refuse_contradictions
from .fields import as_fields
from .instance_rows import FORMAT, LONGEST_HORIZON, InstanceRows
from .whole_problem import Problem


def read_problem(instance: object) -> Problem:
    """Return the problem that an instance of format ``shop-plan-1`` states.

    Days are whole numbers, hours decimal, money of one currency.  Raises `InstanceError` with the
    field and the id where it is malformed or contradicts itself.
    """
    top = as_fields(instance, "")
    if top.get("format") != FORMAT:
        raise top.wrong("format", f"must be {FORMAT!r}, not {top.get('format')!r}")
    days = top.whole("horizon_days", 1, LONGEST_HORIZON)
    rows = InstanceRows(top, days)
    problem = Problem(
        horizon_days=days,
        frozen_days=top.whole("frozen_days", 0, days),
        weights=rows.weights(),
        yards=rows.yards(),
        sites=rows.sites(),
        mechanics=rows.mechanics(),
        parts=rows.parts(),
        setups=rows.setups(),
        machines=rows.machines(),
        tasks=rows.tasks(),
    )
    refuse_contradictions(problem)
    return problem
