"""Which demo fleet this database holds."""

from fleet.models import DemoMark


def loaded_demo() -> DemoMark | None:
    """Return the mark of the demo, or None where no demo was loaded."""
    return DemoMark.objects.first()
