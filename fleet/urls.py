"""Addresses of the site: signing in, the pages of facts, then the pages of consequences."""

from django.contrib import admin
from django.urls import include, path

from fleet.views import sign_in

urlpatterns = [
    path("", sign_in.home, name="home"),
    path("sign-in/", sign_in.SignIn.as_view(), name="sign-in"),
    path("sign-out/", sign_in.SignOut.as_view(), name="sign-out"),
    path("desk-drawer/", admin.site.urls),
    path("", include("scheduling.urls")),
]
