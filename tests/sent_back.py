"""A page's own form, filled as it stands, so that a test changes what a person would change."""

from html.parser import HTMLParser


class _Forms(HTMLParser):
    """What each form of a page would send: its fields by name, each with all of its values."""

    def __init__(self):
        super().__init__()
        self.forms, self.select, self.area = [], None, None

    def handle_starttag(self, tag, attrs):
        given = dict(attrs)
        if tag == "form":
            self.forms.append({})
        if not self.forms:
            return
        name, kind = given.get("name"), given.get("type")
        if tag == "input" and name and kind not in ("submit", "file", "button"):
            if kind not in ("checkbox", "radio") or "checked" in given:
                self._add(name, given.get("value", "on" if kind == "checkbox" else ""))
        elif tag == "select":
            self.select = name
        elif tag == "option" and self.select and "selected" in given:
            self._add(self.select, given.get("value", ""))
        elif tag == "textarea" and name:
            self.area = name
            self._add(name, "")

    def handle_endtag(self, tag):
        if tag == "select":
            self.select = None
        elif tag == "textarea":
            self.area = None

    def handle_data(self, data):
        if self.area:
            self.forms[-1][self.area] = [data.strip()]

    def _add(self, name, value):
        self.forms[-1].setdefault(name, []).append(value or "")


def send_back(client, address, field, **changed):
    """Send the form of a page that has a field, changed as said; return where it led."""
    page = client.get(address)
    assert page.status_code == 200, address
    reader = _Forms()
    reader.feed(page.text)
    sent = next(form for form in reader.forms if field in form)
    answer = client.post(address, sent | changed)
    assert answer.status_code == 302, answer.text
    return answer
