"""How the next due point follows from the last service: four published rules."""

from enum import IntEnum


class AnchorRule(IntEnum):
    """Where the count of the next interval starts. It belongs to the interval, not to the site.

    FROM_SERVICE: last service + every. The plain reading of "at least once in the preceding
    12 months", 49 CFR 396.17(c), and of "3 months or 150 hours in service", WAC 296-869-40010
    Table 2.

    FROM_DUE_POINT: last due point + every, whatever the date of the service. "The excess time used
    ... must be included in computing the next 100 hours", 14 CFR 91.409(b).

    KEEP_UNLESS_EARLY: from the due point, but from the service if that was done before its window
    opened. Piston-engine maintenance manual, 912 i Series, 05-20-00 p. 3 (2012): done at 110 h,
    the next is due at 200 h, not 210 h.

    KEEP_WITHIN_WINDOW: from the due point if the service fell within its window, from the service
    if not. US Army TM 1-1500-328-23 para 2-10; PS Magazine 580 (March 2001) pp. 52-55 and 636
    (November 2005) p. 31, both explaining AR 750-1 and DA PAM 750-8.

    An interval with a meter and a calendar side works each side out alone (TM 1-1500-328-23).

    The regulations: https://www.ecfr.gov/current/title-49/section-396.17,
    https://www.ecfr.gov/current/title-14/section-91.409 and
    https://app.leg.wa.gov/wac/default.aspx?cite=296-869-40010.
    """

    # numbers, since a whole fleet's rules are compared as one array; the database keeps words
    FROM_SERVICE = 0
    FROM_DUE_POINT = 1
    KEEP_UNLESS_EARLY = 2
    KEEP_WITHIN_WINDOW = 3
