"""Tools with the size that a make-up's manual gives: "drain plug socket 17 mm".

Pure.  A tool whose size differs from make-up to make-up has {size} in its name; the manual's figure
is called by what is left of the name: "drain plug socket size".
"""

from collections.abc import Mapping

from fleet.models import MakeUpFigure

SIZE = "{size}"
NOT_KNOWN = "(size from the manual)"
"""Stands for the size that nobody has put into the make-up yet."""


def say_figure(figure: MakeUpFigure) -> str:
    """Say a figure with its unit: "54 N·m", "17 mm"; one of words as it stands."""
    if figure.value is None:
        return figure.words
    return f"{figure.value:g} {figure.unit} {figure.words}".strip()


def sizes_asked(tool: str) -> list[str]:
    """Return the names of the figures that a step's tools ask for."""
    return [_figure(one) for one in tool.split(",") if SIZE in one]


def sized(tool: str, figures: Mapping[str, MakeUpFigure]) -> str:
    """Return a step's tools with the make-up's sizes; figures: by name."""
    if SIZE not in tool:
        return tool
    return ", ".join(_sized(one.strip(), figures) for one in tool.split(","))


def _sized(tool: str, figures: Mapping[str, MakeUpFigure]) -> str:
    figure = figures.get(_figure(tool)) if SIZE in tool else None
    if figure is None:
        return tool.replace(SIZE, NOT_KNOWN)
    return tool.replace(SIZE, say_figure(figure))


def _figure(tool: str) -> str:
    return " ".join([*tool.replace(SIZE, "").split(), "size"])
