"""The pages that are said in every language of the site; all others are English throughout.

A page is never half in one language and half in another: one that is not here is English, its menu
too, however its reader reads elsewhere.
"""

from fleet.models.people import Tongue

PAGES = frozenset(
    name
    for names in (
        "choose-language first-run hand-code hand-link home no-signal sign-in undo",
        "bench bench-cards bench-paper find-sheet pull-missing",
        "job keep-entries leave-work let-entries-go put-off",
        "fault fault-found faults",
        "finding finding-photo finding-photo-strike finding-reopen finding-settle finding-strike",
        "change-hold hold hold-machine release-hold safe-to-release",
        "order-back order-drop order-list order-ordered order-received record record-strike",
        "shelf shelf-part shelf-recount shelf-strike",
        "broke broke-mend calendar calendar-address machine machines procedure",
        "labels label-sheet meter-round meter-round-line reading scan scan-wrong",
    )
    for name in names.split()
)
"""Names of addresses whose pages, errors and answers are all translated."""


def language_of_page(name: str | None, chosen: str) -> str:
    """Return the language in which an address answers to somebody who reads `chosen`."""
    known = chosen in Tongue.values and (name is None or name in PAGES)
    return chosen if known else Tongue.ENGLISH.value
