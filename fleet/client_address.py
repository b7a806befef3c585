"""From which address a request comes, behind as many proxies of one's own as the settings name.

Each proxy adds, at the right of X-Forwarded-For, the address that asked it.  Only the entries that
our own proxies added are believed; whatever stands left of them a client may have invented.
"""

from ipaddress import ip_address, ip_network

from django.conf import settings
from django.http import HttpRequest

OF_ONE_SITE = 64
"""Bits of an IPv6 address that name a site: whoever has one has all the addresses below them
(RFC 6177 section 2)."""


def client_address(request: HttpRequest) -> str | None:
    """Return the address from which a request comes; None where it has none."""
    forwarded = request.META.get("HTTP_X_FORWARDED_FOR", "")
    return address_of(forwarded, request.META.get("REMOTE_ADDR", ""), settings.PROXY_HOPS)


def address_of(forwarded: str, asked_by: str, hops: int) -> str | None:
    """Return the client's address, a site's first one for IPv6; None: no address is readable.

    forwarded: X-Forwarded-For as it came.  asked_by: who opened the connection.  hops: how many
    proxies of ours stand between; with 0 nothing of the header is believed.
    """
    if not hops:
        return _plain(asked_by)
    chain = [*(one.strip() for one in forwarded.split(",") if one.strip()), asked_by]
    return _plain(chain[max(len(chain) - 1 - hops, 0)])


def _plain(word: str) -> str | None:
    """Return an address without port, brackets or zone, as it is compared."""
    host = word.strip()
    if host.startswith("["):
        host = host[1:].partition("]")[0]
    elif host.count(":") == 1:
        host = host.partition(":")[0]
    try:
        found = ip_address(host.partition("%")[0])
    except ValueError:
        return None
    if found.version == 4:
        return str(found)
    if found.ipv4_mapped:
        return str(found.ipv4_mapped)
    return str(ip_network((found, OF_ONE_SITE), strict=False).network_address)
