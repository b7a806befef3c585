"""Addresses of the site: signing in, the pages of facts, then the pages of consequences."""

from django.urls import include, path

from fleet.admin import site
from fleet.views import (
    bring_in_page,
    changes_page,
    client_keys_page,
    fault_search_page,
    finding_page,
    first_run_page,
    hand_sign_in_page,
    hold_pages,
    label_pages,
    last_done_page,
    library_page,
    manual_page,
    mend_page,
    meter_page,
    meter_round_page,
    order_list_page,
    procedure_page,
    reading_page,
    record_page,
    set_up_page,
    shelf_page,
    sign_in_page,
    thing_pages,
    undo_page,
)

handler500 = "fleet.views.fault_page.fault"

urlpatterns = [
    path("", sign_in_page.home, name="home"),
    path("sign-in/", sign_in_page.SignInView.as_view(), name="sign-in"),
    path("sign-out/", sign_in_page.SignOut.as_view(), name="sign-out"),
    path("set-up/sheets/", site.urls),
    *hand_sign_in_page.paths,
    *first_run_page.paths,
    *set_up_page.paths,
    *last_done_page.paths,
    *library_page.paths,
    *manual_page.paths,
    *procedure_page.paths,
    *thing_pages.paths,
    *meter_round_page.paths,
    *bring_in_page.paths,
    *mend_page.paths,
    *reading_page.paths,
    *record_page.paths,
    *meter_page.paths,
    *undo_page.paths,
    *fault_search_page.paths,
    *finding_page.paths,
    *shelf_page.paths,
    *order_list_page.paths,
    *hold_pages.paths,
    *changes_page.paths,
    *client_keys_page.paths,
    *label_pages.paths,
    path("", include("scheduling.urls")),
]
