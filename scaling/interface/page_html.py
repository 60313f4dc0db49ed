"""A page as HTML that needs nothing beside it, and as Markdown."""

import re
from html import escape

from scaling.interface.page_parts import Bullets, Figure, Table
from scaling.interface.page_style import CSS

SHORT = 20  # characters of a first column that are not to be broken
_NUMBER = re.compile(r"(?:tie, )?-?[0-9.]+(?:e[-+]?[0-9]+)?|-|inf|no rival")


def html(page):
    """Return a page as one HTML document: figures inside, no script, nothing asked of a network."""
    facts = "".join(f"<div><dt>{escape(name)}</dt><dd>{escape(text)}</dd></div>\n" for name, text in page.facts)
    reason = f'<p class="reason">{escape(page.reason)}</p>\n' if page.reason else ""
    sections = "".join(_section(section) for section in page.sections)
    return f"""\
<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{escape(page.title)}</title>
<style>
{CSS}</style>
</head>
<body>
<header>
<h1>{escape(page.title)}</h1>
<dl>
{facts}</dl>
{reason}{_bullets(page.remarks)}</header>
<main>
{sections}</main>
<footer>
<p>{escape(page.foot)}</p>
</footer>
</body>
</html>
"""


def _section(section):
    blocks = "".join(_block(block) for block in section.blocks)
    names = " ".join(name for name in ("half", "small") if getattr(section, name))
    name = f' class="{names}"' if names else ""
    if section.pair:
        blocks = f'<div class="pair">\n{blocks}</div>\n'
    return f"<section{name}>\n<h2>{escape(section.heading)}</h2>\n{blocks}</section>\n"


def _block(block):
    """Return a block of a section as HTML."""
    if isinstance(block, Table):
        return _table(block)
    if isinstance(block, Bullets):
        return _bullets(block.items)
    if isinstance(block, Figure):
        return f"<figure>\n{block.draw()}\n<figcaption>{escape(block.caption)}</figcaption>\n</figure>\n"
    return f"<p>{escape(block.text)}</p>\n"


def _bullets(items):
    return f"<ul>\n{''.join(f'<li>{escape(item)}</li>' + chr(10) for item in items)}</ul>\n" if items else ""


def _table(table):
    """Return a table; columns of numbers are set to the right."""
    columns = zip(*table.rows, strict=True)
    right = [i > 0 and 2 * sum(map(_is_number, column)) > len(column) for i, column in enumerate(columns)]
    kinds = [' class="number"' if one else "" for one in right]
    short = max((len(row[0]) for row in table.rows), default=0) <= SHORT
    even = ' class="even"' if all(right[1:]) and not short else ' class="short"' if short else ""
    caption = f"<caption>{escape(table.caption)}</caption>\n" if table.caption else ""
    head = "".join(f'<th scope="col"{kind}>{escape(cell)}</th>' for cell, kind in zip(table.head, kinds, strict=True))
    rows = ""
    for first, *cells in table.rows:
        others = "".join(f"<td{kind}>{escape(cell)}</td>" for cell, kind in zip(cells, kinds[1:], strict=True))
        rows += f'<tr><th scope="row">{escape(first)}</th>{others}</tr>\n'
    inner = f"{caption}<thead><tr>{head}</tr></thead>\n<tbody>\n{rows}</tbody>\n"
    return f'<div class="wide">\n<table{even}>\n{inner}</table>\n</div>\n'


def _is_number(cell):
    return bool(_NUMBER.fullmatch(cell))


def markdown(page):
    """Return a page as Markdown; figures are said in words."""
    lines = [f"# {page.title}", "", *(f"- {name}: **{text}**" for name, text in page.facts), ""]
    lines += [page.reason, ""] if page.reason else []
    lines += [*(f"- {remark}" for remark in page.remarks), ""] if page.remarks else []
    for section in page.sections:
        lines += [f"## {section.heading}", ""]
        for block in section.blocks:
            lines += [*_lines(block), ""]
    return "\n".join([*lines, "---", "", page.foot]) + "\n"


def _lines(block):
    """Return the lines of a block in Markdown."""
    if isinstance(block, Table):
        rows = (table_row(row) for row in block.rows)
        caption = [block.caption, ""] if block.caption else []
        return [*caption, table_row(block.head), "|" + "---|" * len(block.head), *rows]
    if isinstance(block, Bullets):
        return [f"- {item}" for item in block.items]
    return [f"Figure: {block.alt}" if isinstance(block, Figure) else block.text]


def table_row(cells):
    """Return a row of a Markdown table; a bar within a cell is escaped."""
    return "".join(f"| {cell.replace('|', chr(92) + '|')} " for cell in cells) + "|"
