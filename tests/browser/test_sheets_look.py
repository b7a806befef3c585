"""The set-up sheets can be read, by day and by night."""

import pytest
from django.urls import reverse

from tests import factories

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

CONTRASTS = """
names => names.flatMap(name => [...document.querySelectorAll(name)].map(each => {
  const channels = colour => colour.match(/[\\d.]+/g).map(Number);
  const light = colour => {
    const [r, g, b] = channels(colour).slice(0, 3).map(v => v / 255)
      .map(v => v <= 0.03928 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4);
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  let behind = each;
  while (behind.parentElement && channels(getComputedStyle(behind).backgroundColor)[3] === 0)
    behind = behind.parentElement;
  const two = [getComputedStyle(each).color, getComputedStyle(behind).backgroundColor].map(light);
  return [name, (Math.max(...two) + 0.05) / (Math.min(...two) + 0.05)];
}))
"""
"""Contrast of each element with what lies behind it (WCAG 2.2, relative luminance)."""

NAMES = [
    ".selector-chosen-title label",
    ".selector-available-title label",
    ".selector .list-footer-display",
    ".submit-row input",
    ".module h2",
]


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_headings_and_buttons_of_the_sheets_stand_out(open_page, dark):
    service = factories.Service()
    address = reverse("sheets:fleet_service_change", args=[service.pk])
    page = open_page(factories.Person(), address, dark=dark)
    page.wait_for_selector(".selector-chosen-title label")
    found = page.evaluate(CONTRASTS, NAMES)
    assert {name for name, _ in found} >= set(NAMES[:2])
    assert [each for each in found if each[1] < 4.5] == []
