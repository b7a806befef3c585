"""The forms and links of a page, as a browser would send them, for whoever sends them spoiled."""

from dataclasses import dataclass, field
from html.parser import HTMLParser
from urllib.parse import parse_qsl, urlsplit

UNSENT = {"submit", "button", "image", "reset"}


@dataclass
class FoundForm:
    """A form: where it goes, by which method, and what it would send as it stands."""

    action: str
    method: str
    fields: list[tuple[str, str]] = field(default_factory=list)
    files: list[str] = field(default_factory=list)


class FormReader(HTMLParser):
    """Reads forms and links; choices give all their values, so that each can be sent."""

    def __init__(self, address: str) -> None:
        super().__init__()
        self.address, self.forms, self.links = address, [], []
        self._form: FoundForm | None = None
        self._inside = ""

    def handle_starttag(self, tag, attrs):
        given = {name: value or "" for name, value in attrs}
        if tag == "form":
            action = given.get("action") or self.address
            self._form = FoundForm(action, given.get("method", "get").lower())
            self.forms.append(self._form)
        elif tag == "a" and given.get("href", "").startswith(("/", "?")):
            self.links.append(given["href"])
        elif self._form is not None:
            self._field(tag, given)

    def _field(self, tag, given):
        name = given.get("name", "")
        if tag == "select":
            self._inside = name
        elif tag == "option" and self._inside:
            self._form.fields.append((self._inside, given.get("value", "")))
        elif name and given.get("type") == "file":
            self._form.files.append(name)
        elif name and tag in ("input", "textarea", "button"):
            self._form.fields.append((name, given.get("value", "")))

    def handle_endtag(self, tag):
        if tag == "form":
            self._form = None
        elif tag == "select":
            self._inside = ""


def forms_of(html: str, address: str) -> tuple[list[FoundForm], list[tuple[str, list[str]]]]:
    """Return the forms of a page, and the addresses to which it links with what they ask for."""
    reader = FormReader(address)
    reader.feed(html)
    links = []
    for link in reader.links:
        parts = urlsplit(link)
        links.append((parts.path or address, [name for name, _ in parse_qsl(parts.query)]))
    return reader.forms, links
