"""Addresses of the site: signing in, the pages of facts, then the pages of consequences."""

from django.urls import include, path

from fleet.admin import site
from fleet.views import mend, meter_round, reading, set_up, sign_in

urlpatterns = [
    path("", sign_in.home, name="home"),
    path("sign-in/", sign_in.SignIn.as_view(), name="sign-in"),
    path("sign-out/", sign_in.SignOut.as_view(), name="sign-out"),
    path("set-up/sheets/", site.urls),
    *set_up.paths,
    *meter_round.paths,
    *mend.paths,
    *reading.paths,
    path("", include("scheduling.urls")),
]
