"""Addresses of the pages that show what follows from the facts."""

from django.urls import URLPattern

from scheduling.views import healthz

urlpatterns: list[URLPattern] = [*healthz.paths]
