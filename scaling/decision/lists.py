"""Lists of briefs from a table in a file."""

import csv
import dataclasses
import os

from scaling.decision import trade_words
from scaling.decision.brief import Brief
from scaling.decision.fields import read
from scaling.ground import messages

_YES_NO = {"yes": True, "no": False}


def read_briefs(path: str | os.PathLike, name_column: str = "drive") -> dict[str, Brief]:
    """Return {name: Brief} from a CSV file whose columns are named after the fields of Brief.

    An empty cell takes the field's default. A range is written "10 Hz to 200 Hz", a truth value "yes" or "no". Columns
    that are no field, such as a description, are ignored if their name holds a space.

    Parameters
    ----------
    path : str or path
        a file in UTF-8
    name_column : str
        the column that names the rows

    Raises
    ------
    TypeError, ValueError
        as Brief does, with the row's name in front; for an unknown column or two rows of one name

    Examples
    --------
    >>> import pathlib, tempfile
    >>> path = pathlib.Path(tempfile.mkdtemp(), "drives.csv")
    >>> _ = path.write_text("drive,rotor_diameter\\nhoist,220 mm\\nshutter,3 mm\\n", encoding="utf-8")
    >>> list(read_briefs(path))
    ['hoist', 'shutter']
    """
    fields = {f.name: f for f in dataclasses.fields(Brief) if f.init}
    briefs = {}
    with open(path, newline="", encoding="utf-8") as file:
        reader = csv.DictReader(file)
        columns = reader.fieldnames or []
        unknown = [c for c in columns if c != name_column and c not in fields and " " not in c]
        if name_column not in columns or unknown:
            problem = f"no column {name_column!r}"
            if unknown:
                meant = trade_words.hint(unknown[0], None, fields, read)
                problem = f"unknown column {messages.shorten(unknown[0])}; {meant}"
            raise ValueError(f"{messages.shorten(str(path))}: {problem}; expected {name_column!r} and fields of Brief")
        for row in reader:
            name = row[name_column]
            if name in briefs:
                raise ValueError(f"{name_column}: {messages.shorten(name)} stands twice; expected one row a name")
            given = {c: _cell(row[c].strip(), fields[c]) for c in fields if row.get(c) and row[c].strip()}
            try:
                briefs[name] = Brief(**given)
            except (TypeError, ValueError) as error:
                raise type(error)(f"{messages.shorten(name)}: {error}") from error
    return briefs


def _cell(text, field):
    """Return a cell's text as Brief takes it."""
    if "bool" in field.metadata:
        return _YES_NO.get(text, text)
    if field.metadata.get("pair") and " to " in text:
        return tuple(text.split(" to ", 1))
    return text
