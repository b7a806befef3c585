"""Tags without what stands between letters and digits: nobody types a hyphen with gloves on.

Hyphens, blanks, full stops, slashes and underscores are left out, and capitals are no matter.
"""

from django.db.models import CharField, F, Q, QuerySet, Value
from django.db.models.functions import Replace, Upper

from fleet.models import Machine

BETWEEN = "- ./_"
"""Marks that are no part of a bare tag."""


def bare(text: str) -> str:
    """Return a tag as it is compared: "q 15" is "Q15"."""
    return "".join(one for one in text.upper() if one not in BETWEEN)


def bare_tag(field: str = "tag") -> Upper:
    """Return the expression for the bare tag of a field."""
    found: F | Replace = F(field)
    for mark in BETWEEN:
        found = Replace(found, Value(mark), Value(""), output_field=CharField())
    return Upper(found)


def with_bare_tag(machines: QuerySet[Machine], text: str) -> QuerySet[Machine]:
    """Return the machines whose bare tag is that of a text; none for a text without one.

    Digits alone stand for the tag of one letter and these digits, or of several letters.
    """
    wanted = bare(text)
    if not wanted:
        return machines.none()
    asked = Q(bare=wanted)
    if wanted.isdecimal():
        asked |= Q(bare__regex=rf"^[A-Z]+{wanted}$")
    return machines.annotate(bare=bare_tag()).filter(asked)
