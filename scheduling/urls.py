"""Addresses of the pages that show what follows from the facts."""

from django.urls import URLPattern

from scheduling.views import (
    bench_page,
    booking_calendar_page,
    booking_pages,
    broke_page,
    calendar_pages,
    counter_page,
    hand_over_pages,
    healthz,
    interval_pages,
    job_page,
    machine_life_pages,
    machine_page,
    machines_page,
    notices_page,
    planned_done_page,
    progress_page,
    range_record_page,
    shop_days_page,
    trial_pages,
    yard_page,
)

urlpatterns: list[URLPattern] = [
    *yard_page.paths,
    *range_record_page.paths,
    *machines_page.paths,
    *machine_life_pages.paths,
    *machine_page.paths,
    *interval_pages.paths,
    *counter_page.paths,
    *booking_calendar_page.paths,
    *booking_pages.paths,
    *hand_over_pages.paths,
    *bench_page.paths,
    *job_page.paths,
    *shop_days_page.paths,
    *planned_done_page.paths,
    *progress_page.paths,
    *trial_pages.paths,
    *broke_page.paths,
    *calendar_pages.paths,
    *notices_page.paths,
    *healthz.paths,
]
