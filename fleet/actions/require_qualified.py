"""Inspections are finished by a qualified person alone."""

from collections.abc import Iterable
from datetime import date

from fleet.models import Person, Skill
from fleet.queries.skills import skills_on, why_not_held
from fleet.refusal import Refusal


def refuse_unqualified(person: Person, skills: Iterable[Skill], day: date) -> None:
    """Refuse work that asks for a certificate which a person does not hold on that day."""
    asked = {skill.pk: skill for skill in skills if skill.by_certificate}
    if not asked:
        return
    held = skills_on([person], day)[person.pk]
    for pk, skill in asked.items():
        if pk not in held:
            raise Refusal(
                f"{why_not_held(person, skill)}, and this inspection takes somebody who does:"
                " leave it unticked and let them finish it, or put the certificate right"
                " on the person's sheet."
            )
