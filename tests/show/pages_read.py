"""Reading a page back: its elements, its text, its headings, with the standard library's parser."""

from html.parser import HTMLParser

VOID = {"meta", "br", "img", "input", "link", "hr"}


def blanks(page):
    """A page with its no-break blanks plain, to look for a length in."""
    return page.replace("\u00a0", " ")


class Page(HTMLParser):
    """What a page holds: (element, attribute names) in order, and its visible text."""

    def __init__(self, text):
        super().__init__(convert_charrefs=True)
        self.elements, self.texts, self.attributes, self._quiet = [], [], [], 0
        self.unclosed = []
        self.feed(text)
        self.close()

    def handle_startendtag(self, tag, attrs):
        self.handle_starttag(tag, attrs)
        self.handle_endtag(tag)

    def handle_starttag(self, tag, attrs):
        if tag not in VOID:
            self.unclosed.append(tag)
        self.elements.append((tag, tuple(sorted(name for name, _ in attrs))))
        self.attributes += [(tag, name, value) for name, value in attrs]
        self._quiet += tag == "style"

    def handle_endtag(self, tag):
        if tag not in VOID and self.unclosed[-1:] == [tag]:
            self.unclosed.pop()
        self._quiet -= tag == "style"

    def handle_data(self, data):
        if not self._quiet:
            self.texts.append(data)

    @property
    def text(self):
        return " ".join(" ".join(self.texts).split())

    def all(self, tag, name):
        return [value for t, n, value in self.attributes if t == tag and n == name]
