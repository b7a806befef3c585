"""How machines of one class differ in build, and on which build a step of a procedure is done.

Pure.  A make-up says of each trait what it has (`MakeUp.traits`), an alteration may say otherwise
for its machine.  A step names the build on which it is done as codes, `front-brakes:drum
oil-cooler:yes`: codes of one trait are alternatives, those of several must all be so.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache


@dataclass(frozen=True)
class Trait:
    """One way in which builds differ.  builds: code -> how a machine that has it is called."""

    name: str
    label: str
    builds: Mapping[str, str]


def _yes_no(label: str, thing: str, without: str) -> tuple[str, Mapping[str, str]]:
    return label, {"yes": thing, "no": without}


_FRONT_BRAKES = {
    "drum": "drum brakes in front",
    "disc": "disc brakes in front",
    "none": "no brakes in front",
}
_REAR_BRAKES = {
    "drum": "drum brakes at the rear",
    "disc": "disc brakes at the rear",
    "none": "no brakes at the rear",
}


TRAITS: Mapping[str, Trait] = {
    name: Trait(name, label, builds)
    for name, (label, builds) in {
        "engine": (
            "Engine",
            {
                "petrol": "a gasoline engine",
                "diesel": "a diesel engine",
                "propane": "a propane engine",
                "electric": "electric drive",
                "none": "no engine",
            },
        ),
        "fuel": (
            "Fuel system",
            {"carburettor": "a carburettor", "injection": "fuel injection"},
        ),
        "front-brakes": ("Front brakes", _FRONT_BRAKES),
        "rear-brakes": ("Rear brakes", _REAR_BRAKES),
        "final-drive": (
            "Final drive",
            {"chain": "chain drive", "shaft": "shaft drive", "none": "no chain and no shaft"},
        ),
        "transmission": (
            "Transmission",
            {"belt": "a drive belt", "gears": "gears", "hydrostatic": "hydrostatic drive"},
        ),
        "undercarriage": ("Undercarriage", {"wheels": "wheels", "tracks": "tracks"}),
        "cooling": ("Engine cooling", {"air": "an air-cooled engine", "liquid": "a radiator"}),
        "oil-cooler": _yes_no("Oil cooler", "an oil cooler", "no oil cooler"),
        "clutch-adjuster": _yes_no("Clutch adjuster", "a clutch adjuster", "no clutch adjuster"),
        "cam-chain": (
            "Cam chain tensioner",
            {
                "by-hand": "a cam chain tensioner set by hand",
                "by-itself": "a cam chain tensioner that sets itself",
            },
        ),
        "valves": (
            "Valve clearance",
            {"set": "valves that are set", "self": "valves that set themselves"},
        ),
        "decompressor": _yes_no("Decompressor", "a decompressor", "no decompressor"),
        "fuel-tap": _yes_no("Fuel tap", "a fuel tap", "no fuel tap"),
        "recoil-starter": _yes_no("Recoil starter", "a recoil starter", "no recoil starter"),
        "throttle-limiter": _yes_no(
            "Throttle limiter", "a throttle limiter", "no throttle limiter"
        ),
        "battery": ("Battery", {"open": "a battery with caps", "sealed": "a sealed battery"}),
        "trailer-brakes": (
            "Trailer brakes",
            {"electric": "electric brakes", "surge": "surge brakes", "none": "no trailer brakes"},
        ),
        "burner": _yes_no("Hot-water burner", "a hot-water burner", "no hot-water burner"),
        "lights": _yes_no("Lights", "a set of lights", "no set of lights"),
    }.items()
}
"""Trait -> its label and its builds, in the order in which set-up asks."""

BURNING = frozenset({"petrol", "diesel", "propane"})
"""Builds of the engine that burn something: oil, filters, fuel, exhaust."""


def codes_in(only_on: str) -> dict[str, frozenset[str]]:
    """Return trait -> builds that a step's condition names; it must be well formed.

    Raises:
        ValueError: with a sentence, if a code is none that there is.

    """
    found: dict[str, set[str]] = {}
    for code in only_on.split():
        name, _, build = code.partition(":")
        if name not in TRAITS or build not in TRAITS[name].builds:
            raise ValueError(f"“{code}” is not a build that Evener knows.")
        found.setdefault(name, set()).add(build)
    return {name: frozenset(builds) for name, builds in found.items()}


@lru_cache(maxsize=2048)
def _wanted(only_on: str) -> tuple[tuple[str, frozenset[str]], ...]:
    """Return the same as `codes_in`, read once however many machines are held against it."""
    return tuple(codes_in(only_on).items())


def fits(only_on: str, traits: Mapping[str, str]) -> bool | None:
    """Whether a step is done on a build: True or False, None where the make-up does not say."""
    answers = [
        traits[name] in builds if name in traits else None for name, builds in _wanted(only_on)
    ]
    if False in answers:
        return False
    return None if None in answers else True


def open_question(only_on: str, traits: Mapping[str, str]) -> str:
    """Say what a step still hangs on: "drum brakes in front"; "" where the make-up says it all."""
    wanted = codes_in(only_on)
    return " and ".join(
        _one_of(name, builds) for name, builds in wanted.items() if name not in traits
    )


def _one_of(name: str, builds: frozenset[str]) -> str:
    if name == "engine" and builds == BURNING:
        return "an engine"
    return " or ".join(words for code, words in TRAITS[name].builds.items() if code in builds)


def in_a_sentence(traits: Mapping[str, str]) -> str:
    """Say a build in words, as the change log keeps it: "drum brakes in front, a carburettor"."""
    return ", ".join(
        TRAITS[name].builds.get(build, build) for name, build in traits.items() if name in TRAITS
    )


def all_codes() -> Iterable[tuple[str, str]]:
    """Return each code of a condition with its words, as a form offers them."""
    for trait in TRAITS.values():
        for build, words in trait.builds.items():
            yield f"{trait.name}:{build}", words
