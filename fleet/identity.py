"""Serial numbers: the check digit of 17-character VINs, as a warning and never as a refusal.

49 CFR 565.13 and 565.15(c) bind vehicles made for North American roads.  Tractors, lifts and other
off-road machines carry makers' serials, often with no check digit, so theirs are left alone.
"""

from vininfo import Vin
from vininfo.exceptions import ValidationError

VIN_LENGTH = 17
"""Characters of a vehicle identification number (49 CFR 565.13)."""
FIRST_YEAR = 1981
"""Model year from which 49 CFR 565 asks for 17 characters (from memory)."""
YEAR_CODES = "ABCDEFGHJKLMNPRSTVWXY123456789"
"""Model years from 1980 on, 10th place, again after 30 years (49 CFR 565.15 Table VII)."""


def normal_serial(serial: str) -> str:
    """Return a serial as it is compared: in capitals, without the blanks and dashes of its plate.

    What was typed is what is kept and shown.  Plates set VINs and serials in groups, and people
    type them so; neither blank nor dash is a character of a VIN (49 CFR 565.13).
    """
    return "".join(sign for sign in serial.upper() if sign.isalnum())


def same_serial(one: str, other: str) -> bool:
    """Whether two serials are of one plate."""
    return normal_serial(one) == normal_serial(other)


def year_code(year: int) -> str:
    """Return the character of a model year in the 10th place of a VIN."""
    return YEAR_CODES[(year - 1980) % len(YEAR_CODES)]


def serial_warning(serial: str, *, road_vehicle: bool, year: int | None = None) -> str:
    """Return what is odd about a serial number, or nothing.

    A machine that is no road vehicle, or older than the rule, is not judged.  A number that passes
    may still be wrong: about one wrong number in eleven passes by chance.
    """
    serial = normal_serial(serial)
    if not serial or not road_vehicle or (year is not None and year < FIRST_YEAR):
        return ""
    if len(serial) != VIN_LENGTH:
        return (
            f"{serial} has {len(serial)} characters; the VIN of a road vehicle has {VIN_LENGTH}"
            " (49 CFR 565.13). It is kept as typed; look at the plate once more."
        )
    try:
        fits = Vin(serial).verify_checksum()
    except ValidationError:
        return (
            f"{serial} holds a letter or sign that no VIN has (I, O and Q are never used,"
            " 49 CFR 565.13). It is kept as typed; look at the plate once more."
        )
    if fits and year is not None and serial[9] != year_code(year):
        return (
            f"{serial} carries the model year code {serial[9]} (10th place, 49 CFR 565.15), and"
            f" {year} is {year_code(year)}. It is kept as typed; look at plate and year once more."
        )
    if fits:
        return ""
    return (
        f"The check digit of {serial} (9th place, 49 CFR 565.15) does not fit, so a character is"
        " probably mistyped. It is kept as typed; look at the plate once more."
    )
