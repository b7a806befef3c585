import pytest

from scheduling.core.usage import UseLaw


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("lump", 0.0),
        ("lump", -1.0),
        ("lump", float("nan")),
        ("spread", -0.1),
        ("change", 1.5),
        ("rest", 2.0),
        ("trust", 0.0),
        ("trust", float("nan")),
        ("rest", float("inf")),
    ],
)
def test_a_law_that_cannot_be_is_refused_by_name(name, value):
    with pytest.raises(ValueError, match=name):
        UseLaw(**{name: value})
