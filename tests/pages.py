"""A saved page taken apart, for the tests of what is wrong with it and what it says."""

import re
from html.parser import HTMLParser

VOID = {"meta", "link", "br", "hr", "img", "input", "col", "wbr", "area", "base", "source"}


class Checked(HTMLParser):
    """A page taken apart: what is wrong with it, its identifiers, what refers to them, its words and table cells."""

    def __init__(self, text):
        super().__init__()
        self.open, self.wrong, self.ids, self.used, self.words, self.tables = [], [], [], set(), [], []
        self.feed(text)
        self.close()
        self.wrong += [f"{name} is not closed" for name in self.open]

    def handle_starttag(self, tag, attrs):
        self.handle_startendtag(tag, attrs)
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        names, given = [name for name, _ in attrs], dict(attrs)
        if len(names) != len(set(names)):
            self.wrong.append(f"{tag} has an attribute twice")
        if tag in ("script", "link", "iframe", "object", "embed", "base") or any(
            name.startswith("on") for name in names
        ):
            self.wrong.append(f"{tag} runs or loads something")
        if tag in ("img", "svg") and not (given.get("alt") or (given.get("aria-label") and given.get("role") == "img")):
            self.wrong.append(f"{tag} is not said in words")
        self.ids += [given["id"]] if "id" in given else []
        for name, value in attrs:
            if name in ("href", "xlink:href", "src"):
                self.used.add(value)
            self.used |= set(re.findall(r"url\(([^)]*)\)", value or ""))
        if tag == "table":
            self.tables.append([])
        if tag == "tr":
            self.tables[-1].append([])
        if tag in ("th", "td"):
            self.tables[-1][-1].append("")

    def handle_endtag(self, tag):
        if not self.open or self.open[-1] != tag:
            self.wrong.append(f"</{tag}> closes {self.open[-1:]}")
        else:
            self.open.pop()

    def handle_data(self, data):
        self.words.append(data)
        if self.open and self.open[-1] in ("th", "td"):
            self.tables[-1][-1][-1] += data
