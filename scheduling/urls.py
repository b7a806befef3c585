"""Addresses of the pages that show what follows from the facts."""

from django.urls import URLPattern

from scheduling.views import (
    bench,
    booking_calendar,
    bookings,
    broke,
    calendar,
    counter,
    dates_held,
    hand_overs,
    healthz,
    job,
    machine,
    machines,
    notices,
    planned_done,
    progress,
    shop_days,
    trials,
    yard,
)

urlpatterns: list[URLPattern] = [
    *yard.paths,
    *dates_held.paths,
    *machines.paths,
    *machine.paths,
    *counter.paths,
    *booking_calendar.paths,
    *bookings.paths,
    *hand_overs.paths,
    *bench.paths,
    *job.paths,
    *shop_days.paths,
    *planned_done.paths,
    *progress.paths,
    *trials.paths,
    *broke.paths,
    *calendar.paths,
    *notices.paths,
    *healthz.paths,
]
