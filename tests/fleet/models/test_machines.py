"""What a machine's tag may hold, on an unsaved machine."""

import pytest
from django.core.exceptions import ValidationError

from fleet.models import Machine


@pytest.mark.parametrize("tag", ["Q-12", "T 4", "N0EGMQ", "É-1", "7"])
def test_a_tag_of_letters_figures_dashes_and_blanks_is_fine(tag):
    Machine._meta.get_field("tag").clean(tag, None)


@pytest.mark.parametrize(
    "tag",
    [
        "Q/12",  # would be two parts of an address
        "Q?12",
        "Q#12",
        " Q-12",  # looks like Q-12 and is not
        "Q-12 ",
    ],
)
def test_a_tag_that_cannot_stand_in_an_address_gets_a_sentence(tag):
    with pytest.raises(ValidationError, match="stands in the address"):
        Machine._meta.get_field("tag").clean(tag, None)
