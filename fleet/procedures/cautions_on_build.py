"""Which cautions of a service hold on a build: no hot exhaust on an electric machine.

A caution that steps of the service carry holds where one of those steps is done.  One that no step
carries is of the whole service, and holds unless the build has nothing that it warns of.
"""

from collections.abc import Iterable, Mapping

from fleet.makeup_traits import fits
from fleet.models import Caution, Service
from fleet.procedures.library import caution_builds


def codes_on_build(
    codes: Iterable[str], carried: Iterable[tuple[str, str]], traits: Mapping[str, str]
) -> list[str]:
    """Return those of a service's cautions that hold on a build, in their order.

    carried: caution and condition of each of its steps.  What the make-up does not say is warned
    of.
    """
    at_steps: dict[str, list[str]] = {}
    for code, only_on in carried:
        if code:
            at_steps.setdefault(code, []).append(only_on)
    return [
        code
        for code in codes
        if any(
            fits(only_on, traits) is not False
            for only_on in at_steps.get(code, [caution_builds().get(code, "")])
        )
    ]


def cautions_on_build(service: Service, traits: Mapping[str, str]) -> list[Caution]:
    """Return the cautions of a service that hold on a build; no query once both are fetched."""
    rows = {one.code: one for one in service.cautions.all()}
    names: dict[int | None, str] = {one.pk: one.code for one in rows.values()}
    carried = [(names.get(one.caution_id, ""), one.only_on) for one in service.steps.all()]
    return [rows[code] for code in codes_on_build(rows, carried, traits)]


def warned_on_build(cautions: Iterable[Caution], traits: Mapping[str, str]) -> list[Caution]:
    """Return cautions of a class that hold on a build: what it cannot have bites nobody."""
    return [
        one for one in cautions if fits(caution_builds().get(one.code, ""), traits) is not False
    ]
