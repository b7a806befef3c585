"""Invented serial numbers; those of trailers are VINs with their check digit (49 CFR 565.15)."""

import numpy as np

LETTERS = "ABCDEFGHJKLMNPRSTUVWXYZ"
VALUES = dict(
    zip("ABCDEFGHJKLMNPRSTUVWXYZ", [*range(1, 9), 1, 2, 3, 4, 5, 7, 9, *range(2, 10)], strict=True)
) | {str(n): n for n in range(10)}
"""Value of each character: 49 CFR 565.15, table III (from memory)."""
WEIGHTS = (8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2)
"""Weight of each place: 49 CFR 565.15, table IV (from memory)."""
YEARS = "ABCDEFGHJKLMNPRSTVWXY123456789"
"""Model year letters, 1980 onwards, round again after 30 years: 49 CFR 565.15, table VII."""


def check_digit(vin: str) -> str:
    """The ninth character of a VIN: the weighted sum of the others, modulo 11."""
    rest = sum(VALUES[c] * w for c, w in zip(vin, WEIGHTS, strict=True)) % 11
    return "X" if rest == 10 else str(rest)


def vin(rng: np.random.Generator, year: int) -> str:
    """A VIN of no maker that exists, with a check digit that fits."""
    body = "".join(rng.choice(list("0123456789"), 6))
    raw = f"7Z9EV{rng.integers(10, 99)}20{YEARS[(year - 1980) % 30]}Z{body}"
    return raw[:8] + check_digit(raw) + raw[9:]


def wrong_vin(right: str) -> str:
    """The same VIN stamped with a check digit that does not fit."""
    return right[:8] + ("1" if right[8] != "1" else "2") + right[9:]


def serial(rng: np.random.Generator, maker: str) -> str:
    """A maker's serial: two letters of its name and six figures."""
    return f"{maker[0]}{rng.choice(list(LETTERS))}{rng.integers(100_000, 999_999)}"
