"""Addresses of the pages that show what follows from the facts."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
