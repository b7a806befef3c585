"""Values with the unit that somebody wrote beside them, told in units of the SI.  Pure.

Factors stand in `fleet.measured_values`; degrees: t/°C = (t/°F - 32)/1.8 (NIST SP 811, 2008,
appendix B; from memory).  The litre, the percent and the decibel are no units of the SI and are
used beside it (SI Brochure, 9th edition, 2019; from memory).
"""

from fleet.measured_values import FAMILIES

SI_NAMES = {"mm": "mm", "kpa": "kPa", "n m": "N m", "s": "s", "ml": "mL", "v": "V"}
"""The unit in which a family of `FAMILIES` is told -> how it is written."""
AS_THEY_ARE = {
    "°c": "°C", "c": "°C", "hz": "Hz", "mω": "MΩ", "a": "A", "n": "N", "kg": "kg", "%": "%",
    "percent": "%", "db(a)": "dB(A)",
}  # fmt: skip
"""Units of the SI, or used beside it, in small letters -> how each is written.

A limit is never given in thousandths of an ohm here: insulation is measured in millions of them.
"""
TURNED = {"mi": (1.609344, "km"), "mile": (1.609344, "km"), "miles": (1.609344, "km"),
          "km": (1.0, "km"), "lb": (0.45359237, "kg"), "lbs": (0.45359237, "kg")}  # fmt: skip
"""Further units, each with its size in one of the SI."""


def in_si(value: float | None, unit: str) -> tuple[float | None, str]:
    """Return a value and its unit in the SI; (None, "") of none, and of a unit not known here."""
    said = unit.lower().replace("·", " ").replace("⋅", " ").strip(". ")
    if value is None:
        return None, ""
    if said in ("°f", "f"):
        return _tidy((value - 32) / 1.8), "°C"
    if said in AS_THEY_ARE:
        return value, AS_THEY_ARE[said]
    if said in TURNED:
        size, name = TURNED[said]
        return _tidy(value * size), name
    for family in FAMILIES:
        name = SI_NAMES.get(next(iter(family)), "")
        if said in family and name:
            return _tidy(value * family[said]), name
    return None, ""


def _tidy(value: float) -> float:
    """Return a product without the dust of its binary digits."""
    return float(f"{value:.10g}")
