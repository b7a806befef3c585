"""No sentence of a page in both languages is left in English, and the compiled files are true."""

import re

import pytest

from tests.fleet.tongues.gathered import LANGUAGE, LIBRARY_PO, PAGES_PO
from tests.fleet.tongues.po_files import compiled, read_po
from tests.fleet.tongues.said_on_pages import of_library, of_pages, templates, unmarked, unmarked_in

CATALOGUES = {"pages": (PAGES_PO, of_pages), "library": (LIBRARY_PO, of_library)}
PLACE = re.compile(r"%\(\w+\)s|\{\w+\}")
TAG = re.compile(r"</?\w+")


@pytest.fixture(params=CATALOGUES)
def catalogue(request):
    path, asked = CATALOGUES[request.param]
    return read_po(path), asked()


def test_a_template_of_these_pages_says_nothing_in_english_alone():
    """Put {% translate %} around it, then run `python -m tests.fleet.tongues.gathered`."""
    found = {str(path): unmarked(path) for path in templates()}
    assert {path: said for path, said in found.items() if said} == {}


def test_each_sentence_has_its_spanish(catalogue):
    entries, asked = catalogue
    said = {one.key: one for one in entries}
    missing = [key for key in asked if key not in said or not all(said[key].said)]
    assert missing == [], "run python -m tests.fleet.tongues.gathered, and say it in the .po file"
    assert [key for key in said if key not in asked] == [], "nobody says these any more"
    assert [one.english for one in entries if one.fuzzy] == []


def test_spanish_keeps_what_is_filled_in(catalogue):
    entries, _ = catalogue
    for one in entries:
        whole = set(PLACE.findall(one.many or one.english))
        assert set(PLACE.findall(one.said[-1])) == whole, one.english
        assert set(PLACE.findall(one.said[0])) <= whole, one.english
        assert sorted(TAG.findall(one.said[-1])) == sorted(TAG.findall(one.many or one.english))


@pytest.mark.parametrize("path", [PAGES_PO, LIBRARY_PO])
def test_what_runs_is_what_is_written(path):
    assert path.with_suffix(".mo").read_bytes() == compiled(read_po(path), LANGUAGE)


@pytest.mark.parametrize(
    "template",
    [
        "<p>A new sentence.</p>",
        '<button aria-label="A new label">{% translate "Known" %}</button>',
        '{% include "components/_empty.html" with what="Nothing yet." %}',
        '{{ service|default:"repair" }}',
        "{% if one %}{% blocktranslate %}Known.{% endblocktranslate %} And more{% endif %}",
    ],
)
def test_a_new_english_sentence_is_found(template):
    assert unmarked_in(template) != []


@pytest.mark.parametrize(
    "template",
    [
        '<p class="then soft">{% translate "Known." %} · {{ value|spoken }}</p>',
        '{% include "components/_empty.html" with what=_("Nothing yet.") %}',
        "{% blocktranslate with n=x %}Known {{ n }}.{% endblocktranslate %} Evener, PDF",
    ],
)
def test_what_is_marked_is_not_found(template):
    assert unmarked_in(template) == []
