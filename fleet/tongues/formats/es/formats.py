"""Numbers on a Spanish page, as meters and parts books of the Americas write them: 1,204.5.

Django's own Spanish has a comma before the decimals; what is typed here is read with a point, and
what a page shows has to be what may be typed again.
"""

DECIMAL_SEPARATOR = "."
THOUSAND_SEPARATOR = ","
