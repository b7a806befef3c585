"""Filters that show quantities and dates as people say them; each one line over a function."""

from django import template

register = template.Library()
