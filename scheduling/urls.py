"""Addresses of the pages that show what follows from the facts."""

from django.urls import URLPattern

from scheduling.views import (
    bench,
    healthz,
    job,
    machine,
    machines,
    notices,
    shop_days,
    yard,
)

urlpatterns: list[URLPattern] = [
    *yard.paths,
    *machines.paths,
    *machine.paths,
    *bench.paths,
    *job.paths,
    *shop_days.paths,
    *notices.paths,
    *healthz.paths,
]
