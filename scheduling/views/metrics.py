"""GET /metrics: figures of the site in Prometheus' text format, for who sends the key.

https://prometheus.io/docs/instrumenting/exposition_formats/ (text format 0.0.4).  The key goes as
`Authorization: Bearer KEY` (RFC 6750); without METRICS_KEY set the address does not exist.
"""

from collections.abc import Iterable

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import path
from django.utils import timezone
from django.utils.crypto import constant_time_compare
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from scheduling.queries.site_figures import Gauge, site_figures

CONTENT_TYPE = "text/plain; version=0.0.4; charset=utf-8"


@never_cache
@login_not_required
@require_safe
def metrics(request: HttpRequest) -> HttpResponse:
    """Answer with the figures; 401 without the key."""
    if not settings.METRICS_KEY:
        raise Http404
    given = request.headers.get("Authorization", "")
    if not constant_time_compare(given, f"Bearer {settings.METRICS_KEY}"):
        refused = HttpResponse("The key is missing or wrong.\n", status=401)
        refused["WWW-Authenticate"] = "Bearer"
        return refused
    return HttpResponse(as_text(site_figures(timezone.now())), content_type=CONTENT_TYPE)


def as_text(figures: Iterable[Gauge]) -> str:
    """Return figures in the text format; a label's backslash, quote and line end are escaped."""
    lines = []
    for figure in figures:
        lines += [f"# HELP {figure.name} {figure.help}", f"# TYPE {figure.name} gauge"]
        for labels, value in figure.values.items():
            said = ",".join(f'{name}="{_escaped(label)}"' for name, label in labels)
            lines.append(
                f"{figure.name}{{{said}}} {value:g}" if said else f"{figure.name} {value:g}"
            )
    return "\n".join([*lines, ""])


def _escaped(label: str) -> str:
    return label.replace("\\", r"\\").replace('"', r"\"").replace("\n", r"\n")


paths = [path("metrics", metrics, name="metrics")]
