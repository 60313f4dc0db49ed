"""Records: typed tables that several checks read, such as the circuits of textbook machines, in the folder beside."""

import json
from pathlib import Path

KEYS = ["source", "locator", "status", "units", "columns", "data", "note"]
RECORDS = {
    path.stem: json.loads(path.read_text(encoding="utf-8"))
    for path in sorted((Path(__file__).parent / "records").glob("*.json"))
}


def rows(name):
    """Return the rows of a record as dictionaries."""
    return [dict(zip(RECORDS[name]["columns"], row, strict=True)) for row in RECORDS[name]["data"]]


def row(name, **known):
    """Return the one row of a record whose cells are those known, without them."""
    found = [row for row in rows(name) if all(row[column] == value for column, value in known.items())]
    if len(found) != 1:
        raise KeyError(f"{name}: {len(found)} rows of {known}")
    return {column: value for column, value in found[0].items() if column not in known}
