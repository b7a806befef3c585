"""Template tags of the site's own parts: marks, machine lines, charts."""

from django import template

register = template.Library()
