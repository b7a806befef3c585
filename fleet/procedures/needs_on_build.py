"""What a service takes on a build: no gear oil on a machine that has a chain.

Pure: rows in, rows out.  A place that steps of the service name is taken where one of those steps
is done; one that no step names is taken on every build.
"""

from collections.abc import Iterable, Mapping

from fleet.makeup_traits import fits
from fleet.models import Service, ServiceNeed, ServiceStep


def is_taken(place: str, at_steps: Iterable[tuple[str, str]], traits: Mapping[str, str]) -> bool:
    """Whether a place is taken on a build; what the make-up does not say is brought along.

    at_steps: place and condition of each step that names a place.
    """
    name = place.casefold()
    conditions = [only_on for at, only_on in at_steps if at.casefold() == name]
    return not conditions or any(fits(one, traits) is not False for one in conditions)


def needs_on_build(service: Service, traits: Mapping[str, str]) -> list[ServiceNeed]:
    """Return what a service takes on a build; no query once its needs and steps are fetched."""
    at_steps = [(step.place, step.only_on) for step in service.steps.all() if step.place]
    return [need for need in service.needs.all() if is_taken(need.place, at_steps, traits)]


def steps_on_build(service: Service, traits: Mapping[str, str]) -> list[ServiceStep]:
    """Return the steps that are done on a build; no query once they are fetched."""
    return [step for step in service.steps.all() if fits(step.only_on, traits) is not False]
