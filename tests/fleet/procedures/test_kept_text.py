"""The text by which work was done: sealed on the sheet, kept once, the same for ever."""

import pytest

from fleet.models import Caution, DoneText
from fleet.procedures import FilledStep
from fleet.procedures.kept_text import keep_texts, seal, text_of, unseal

STEPS = [
    FilledStep("drain", "do", "Drain warm", caution=Caution(signal="warning", text="Hot."),
               tool="17 mm socket"),
    FilledStep("lining", "measure", "Lining", unit="mm", limit_low=1.5, measures="lining"),
]  # fmt: skip


def test_what_goes_out_with_a_sheet_comes_back_word_for_word():
    text = unseal(seal(STEPS))
    assert text.digest == text_of(STEPS).digest
    assert text.steps == [
        {"key": "drain", "kind": "do", "text": "Drain warm", "caution": "WARNING: Hot.",
         "tool": "17 mm socket"},
        {"key": "lining", "kind": "measure", "text": "Lining", "measures": "lining", "unit": "mm",
         "low": 1.5},
    ]  # fmt: skip


@pytest.mark.parametrize("word", ["", "nonsense", seal(STEPS)[:-3] + "AAA"])
def test_what_was_tampered_with_is_not_kept(word):
    assert unseal(word) is None


def test_of_no_steps_nothing_is_kept():
    assert (text_of([]), seal([])) == (None, "")


@pytest.mark.django_db
def test_the_same_text_is_kept_once(django_assert_num_queries):
    for _ in range(2):
        with django_assert_num_queries(1):
            keep_texts([text_of(STEPS), text_of(STEPS), None])
    assert DoneText.objects.count() == 1
