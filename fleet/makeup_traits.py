"""How machines of one class differ in build, and on which build a step of a procedure is done.

Pure.  A make-up says of each trait what it has (`MakeUp.traits`), an alteration may say otherwise
for its machine.  A step names the build on which it is done as codes, `front-brakes:drum
oil-cooler:yes`: codes of one trait are alternatives, those of several must all be so.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass


@dataclass(frozen=True)
class Trait:
    """One way in which builds differ.  builds: code -> how a machine that has it is called."""

    name: str
    label: str
    builds: Mapping[str, str]


def _yes_no(label: str, thing: str) -> tuple[str, Mapping[str, str]]:
    return label, {"yes": thing, "no": f"no {thing.split(' ', 1)[1]}"}


_BRAKES = {"drum": "drum brakes", "disc": "disc brakes", "none": "no brakes"}


def _at(where: str) -> Mapping[str, str]:
    return {code: f"{words} {where}" for code, words in _BRAKES.items()}


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
        "front-brakes": ("Front brakes", _at("in front")),
        "rear-brakes": ("Rear brakes", _at("at the rear")),
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
        "oil-cooler": _yes_no("Oil cooler", "an oil cooler"),
        "clutch-adjuster": _yes_no("Clutch adjuster", "a clutch adjuster"),
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
        "decompressor": _yes_no("Decompressor", "a decompressor"),
        "fuel-tap": _yes_no("Fuel tap", "a fuel tap"),
        "recoil-starter": _yes_no("Recoil starter", "a recoil starter"),
        "throttle-limiter": _yes_no("Throttle limiter", "a throttle limiter"),
        "battery": ("Battery", {"open": "a battery with caps", "sealed": "a sealed battery"}),
        "trailer-brakes": (
            "Trailer brakes",
            {"electric": "electric brakes", "surge": "surge brakes", "none": "no trailer brakes"},
        ),
        "lights": _yes_no("Lights", "a set of lights"),
    }.items()
}
"""Trait -> its label and its builds, in the order in which set-up asks."""


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


def fits(only_on: str, traits: Mapping[str, str]) -> bool | None:
    """Whether a step is done on a build: True or False, None where the make-up does not say."""
    answers = [
        traits[name] in builds if name in traits else None
        for name, builds in codes_in(only_on).items()
    ]
    if False in answers:
        return False
    return None if None in answers else True


def open_question(only_on: str, traits: Mapping[str, str]) -> str:
    """Say what a step still hangs on: "drum brakes in front"; "" where the make-up says it all."""
    wanted = codes_in(only_on)
    return " and ".join(
        " or ".join(words for code, words in TRAITS[name].builds.items() if code in builds)
        for name, builds in wanted.items()
        if name not in traits
    )


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
