"""The three sign-ins of the demo.  Their passwords are public: for the demo alone."""

from dataclasses import dataclass

from fleet.demo.scenario import scenario
from fleet.models import Role


@dataclass(frozen=True)
class DemoSignIn:
    """One person who may sign in to the demo."""

    role: str
    username: str
    password: str


def sign_ins() -> list[DemoSignIn]:
    """Manager, desk and mechanic."""
    return [
        DemoSignIn(Role(person["role"]).label, person["username"], person["password"])
        for person in scenario()["people"]
        if "password" in person
    ]


def lines() -> list[str]:
    """The sign-ins as the commands print them."""
    told = [f"  {s.role:<14} {s.username:<8} {s.password}" for s in sign_ins()]
    return ["Sign in as (passwords for the demo only, known to everybody):", *told]
