"""Values that a form, an address or a file is not made for, drawn by Hypothesis.

They are drawn once, into pools: drawing anew for each request took as long as the site's answer.
"""

import random
from dataclasses import dataclass
from io import BytesIO
from typing import Any
from zipfile import ZipFile

import hypothesis
from django.core.files.uploadedfile import SimpleUploadedFile
from hypothesis import strategies as st

ODD = [
    "", " ", "\x00", "a\x00b", "-", ".", "..", "../../x", "a/../b", "a\r\nX-Header: b", "\t",
    "0001-01-01", "9999-12-31", "0001-01-01T00:00", "9999-12-31T23:59", "0000-00-00", "2025-02-30",
    "1.1.1", "31.12.9999", "12/31/9999", "2026-W53", "24:00", "23:59:60", "99:99", "-1:00",
    "inf", "-inf", "Infinity", "nan", "1e308", "1e400", "-1e308", "5e-324", "-0", "0", "-1", "1.5",
    "½", "2½", "1 1/2", "1/0", "²", "٣", "1,5", "1.234,5", "1_000", "+1", "0x10", "1e5", "١٢",
    "2147483647", "2147483648", "9223372036854775807", "9223372036854775808",
    "-9223372036854775809",
    "9" * 20, "9" * 400, "9" * 5000, "0." + "3" * 400,
    "on", "true", "null", "None", "[]", "{}", "[[[", '{"a":', "m:1:1", "f:0", "s:x:y", "m:1:", ":",
    "m:9223372036854775808:1", "m:-1:-1", "id:1", "1,2,3", "1-2", "__proto__",
    "'", '"', "';--", "<script>",
    "{{ 7 }}", "{% x %}", "%", "%s", "%00", "%(x)s", "$1", "\\", "\\x",
    "\u202e", "\ufeff", "\u2028", "e\u0301", "\U0001f600" * 60, "ß" * 300, "x" * 300, "x" * 70_000,
]  # fmt: skip
"""What is known to break programs."""

texts = st.one_of(
    st.sampled_from(ODD),
    st.text(st.characters(exclude_categories=["Cs"]), max_size=40),
    st.integers().map(str),
    st.floats().map(str),
    st.dates().map(str),
    st.datetimes().map(lambda at: at.isoformat("T", "minutes")),
    st.times().map(lambda at: at.isoformat("minutes")),
)
"""A value typed, chosen or put into an address."""

COUNTS = ["-1", "", "x", "1e9", "999999", "9223372036854775808", "½"]
"""What a set of rows says of how many it has."""


def _zip(**files: bytes) -> bytes:
    kept = BytesIO()
    with ZipFile(kept, "w") as made:
        for name, content in files.items():
            made.writestr(name.replace("__", "/"), content)
    return kept.getvalue()


CONTENTS = [
    b"", b"\x00" * 50, b"\xff\xfe", b"\xef\xbb\xbf", b"tag,reading\n", b"PK\x03\x04",
    b"\x89PNG\r\n",
    b"\xff\xd8\xff\xe0", b"GIF89a", b"%PDF-1.4",
    b"tag;value;date\nA;inf;9999-12-31\nB;\xbd;0001-01-01",
    b"tag,hours,read at\n\x00,nan,0001-01-01\n..,1e400,9999-12-31\n", b'"' * 5000, b"," * 5000,
    b"tag\tserial\tmake-up\n../x\t\r\n", "tag,reading\nÄ,½\n".encode("utf-16"), b"+AGE-,+AAA-\n",
    _zip(a=b"x"), _zip(xl__workbook=b"<a>"), _zip(**{"xl__workbook.xml": b"<workbook/>"}),
    _zip(**{"[Content_Types].xml": b"<!DOCTYPE a [<!ENTITY b 'c'>]><a>&b;</a>"}),
]  # fmt: skip
NAMES = [
    "a.csv",
    "a.xlsx",
    "a.jpg",
    "a.png",
    "a",
    "a\x00.csv",
    "x" * 300 + ".csv",
    "ä.tsv",
    "a.xls",
]

files = st.tuples(
    st.sampled_from(NAMES),
    st.one_of(st.sampled_from(CONTENTS), st.binary(max_size=200)),
    st.sampled_from(
        ["text/csv", "image/jpeg", "application/octet-stream", "", "x/y; charset=utf-7"]
    ),
)
"""A file, of which name, content and kind need not fit."""

KINDS = [
    "application/x-www-form-urlencoded; charset=utf-7",
    "application/x-www-form-urlencoded; charset=no-such",
    "application/x-www-form-urlencoded",
    "multipart/form-data",
    "multipart/form-data; boundary=",
    "multipart/form-data; boundary=x; charset=utf-7",
    "application/json",
    "text/plain; charset=utf-16",
    "",
]
BODIES = [
    b"", b"a=+AAA-", b"%", b"a=%ff&b=%00", b"--x\r\n", b"--x--",
    b"--x\r\nContent-Disposition: form-data; name=a\r\n\r\n\xff\r\n--x--",
    b"{", b"[]", b"null", b"&" * 2000, b"\xff\xfe\x00",
]  # fmt: skip
raw_bodies = st.tuples(
    st.sampled_from(KINDS), st.one_of(st.sampled_from(BODIES), st.binary(max_size=60))
)
"""What a program posts that is no form: its kind and its bytes."""

HEADERS = [
    {}, {}, {}, {},
    {"Host": "evil.example.org"}, {"Host": "a b"}, {"Host": "[::1"}, {"Host": "127.0.0.1:99999"},
    {"HX-Request": "true"}, {"HX-Request": "true", "HX-Current-URL": "http://["},
    {"Accept-Language": "x" * 600 + ";q=9"}, {"Accept": "q"}, {"Range": "bytes=9-1"},
    {"If-Modified-Since": "Mon, 99 Foo 0000"}, {"If-None-Match": "*"}, {"Authorization": "Bearer"},
    {"Authorization": "Bearer ½\x00"}, {"Referer": "http://["}, {"Origin": "null"},
    {"X-Forwarded-For": "x, , ½"}, {"X-Forwarded-Proto": "gopher"}, {"Content-Length": "x"},
    {"User-Agent": ""}, {"Cookie": "sessionid=½; csrftoken=\x01"}, {"Cookie": "messages=[[[;="},
]  # fmt: skip
"""Headers of a request; most of the time the usual ones."""
headers = st.sampled_from(HEADERS)

POOLED = {"texts": 3000, "files": 400, "raw_bodies": 400, "headers": 200}
"""How many of each are drawn for a run."""
FEWEST = 10
"""How many of each even the shortest run has to choose from."""
TOGETHER = 50
"""Values that Hypothesis draws at one go: of many it makes variations of the first."""


@dataclass(frozen=True)
class Pools:
    """Values drawn for a run, to choose from."""

    texts: list[str]
    files: list[tuple[str, bytes, str]]
    raw_bodies: list[tuple[str, bytes]]
    headers: list[dict[str, str]]
    counts: list[str]

    @classmethod
    def drawn(cls, seed: int, share: float = 1) -> "Pools":
        """Return the pools of a seed; a short run does with a share of them."""
        drawn = {
            name: _drawn(strategy, max(FEWEST, int(POOLED[name] * share)), seed)
            for name, strategy in {
                "texts": texts, "files": files, "raw_bodies": raw_bodies, "headers": headers,
            }.items()
        }  # fmt: skip
        return cls(**drawn, counts=COUNTS)

    def file(self, chance: random.Random) -> SimpleUploadedFile:
        """Return one of the files, unread."""
        return SimpleUploadedFile(*chance.choice(self.files))


def _drawn(strategy: Any, count: int, seed: int) -> list[Any]:
    """Return so many values that a strategy makes."""
    made: list[Any] = []

    @hypothesis.settings(
        max_examples=TOGETHER, database=None, deadline=None, phases=[hypothesis.Phase.generate],
        suppress_health_check=list(hypothesis.HealthCheck),
    )  # fmt: skip
    @hypothesis.given(strategy)
    def keep(value: Any) -> None:
        made.append(value)

    number = seed * 100_000
    while len(made) < count:
        hypothesis.seed(number)(keep)()
        number += 1
    return made[:count]
