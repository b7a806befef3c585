"""Who manages one of several shops brings in for that shop alone; rows of others are refused."""

from fleet.bring_in.outcomes import RowTrouble
from fleet.models import Machine, Shop, Yard


def refuse_others_machine(machine: Machine, only: Shop | None) -> None:
    """Refuse a row that is of another shop's machine; only: None where every shop's come in.

    Raises:
        RowTrouble: it is another shop's.

    """
    if only is not None and machine.yard.shop_id != only.pk:
        raise RowTrouble(others_machine(machine.tag, only))


def others_machine(tag: str, only: Shop) -> str:
    """Say that a tag is that of another shop's machine."""
    return f"{tag} is a machine of another shop. {_alone(only)}"


def refuse_others_yard(yard: Yard, only: Shop | None) -> None:
    """Refuse a row that names another shop's yard, in the same way."""
    if only is not None and yard.shop_id != only.pk:
        raise RowTrouble(f"{yard.name} is a yard of another shop. {_alone(only)}")


def refuse_others_shop(name: str, found: Shop | None, only: Shop | None) -> None:
    """Refuse a row that names another shop, or one to be set up, in the same way."""
    if only is None or found == only:
        return
    if found is None:
        raise RowTrouble(f"There is no shop “{name}”. {_alone(only)}")
    raise RowTrouble(f"{found.name} is another shop. {_alone(only)}")


def _alone(only: Shop) -> str:
    return (
        f"You bring in for {only.name} alone: leave the row out, or give it to the manager there."
    )
