"""Published values: every row of every table beside this file is evaluated by a small named function of the package.

A table is typed from its source, never from the package. Status: P published and seen, D derived again for the
project, C common practice, M from memory. Rows of status M alone, rows with an unreadable cell (null) and tables with
a reason in "skip" are shown as skips; what the package has no figure for has such a reason and null for its check. A
row ends in the value expected, or in a low and a high limit. The functions stand in the files checks_*.py, each with a
dictionary CHECKS of its own: a new file is joined by being there. `pytest -rP` prints every value, and one table of
them all.
"""

import collections
import functools
import importlib
import json
import math
from pathlib import Path

import pytest
import records

HERE = Path(__file__).parent
KEYS = ["source", "locator", "status", "check", "units", "columns", "data", "rtol", "note"]
ANSWERS = (["expected"], ["low", "high"])


def joined(modules):
    """Return the checks of all modules in one dictionary; a name used twice is refused."""
    checks = {}
    for module in modules:
        if twice := checks.keys() & module.CHECKS:
            raise ValueError(f"{module.__name__}: {sorted(twice)} exist already")
        checks |= module.CHECKS
    return checks


CHECKS = joined(importlib.import_module(path.stem) for path in sorted(HERE.glob("checks_*.py")))
TABLES = {path.stem: json.loads(path.read_text(encoding="utf-8")) for path in sorted(HERE.glob("*.json"))}


def answer_columns(table):
    return next((names for names in ANSWERS if table["columns"][-len(names) :] == names), None)


def form_faults(table, keys):
    """Return what is wrong with the form of a table or a record."""
    faults = [f"no {key}" for key in keys if key not in table]
    faults += [f"unknown {key}" for key in table if key not in [*keys, "skip"]]
    if faults:
        return faults
    faults += [f"empty {key}" for key in ("source", "locator", "note", "data") if not table[key]]
    faults += ["status"] if not set(table["status"].split(", ")) <= set("PMDC") else []
    faults += ["units"] if list(table["units"]) != table["columns"] else []
    return faults + (["length of a row"] if any(len(row) != len(table["columns"]) for row in table["data"]) else [])


def table_faults(table):
    """Return what is wrong with a table: its form, its answer, its check and its tolerance."""
    if faults := form_faults(table, KEYS):
        return faults
    faults += ["answer"] if answer_columns(table) is None else []
    known = table["check"] in CHECKS or (table["check"] is None and table.get("skip"))
    faults += [] if known else ["check"]
    return faults + (["rtol"] if not 0 <= table["rtol"] < 0.05 else [])


def reason_to_skip(table, row):
    """Return why a row is not asserted, or None."""
    if table["status"] == "M":
        return f"from memory only: {table['source']}"
    if None in row:
        return "unreadable cell"
    return table.get("skip")


def within(value, answer, rtol):
    """Tell whether a value is the one expected, or lies between a low and a high limit."""
    low, high = (min(answer), max(answer))
    return low - rtol * abs(low) <= value <= high + rtol * abs(high)


def parts(table, row):
    """Return what a row gives to its check, and its answer."""
    given = dict(zip(table["columns"], row, strict=True))
    answer = [given.pop(name) for name in answer_columns(table)]
    return given, answer


@functools.cache
def computed(name, place):
    """Return the value of a row of a table."""
    table = TABLES[name]
    given, _ = parts(table, table["data"][place])
    return float(CHECKS[table["check"]](**given))


ROWS = [
    pytest.param(name, place, id="-".join([name, *map(str, row)]))
    for name, table in TABLES.items()
    for place, row in enumerate(table.get("data", []))
]


def report(rows):
    """Return one table of rows, each a (table name, place), as text, and the number of each outcome."""
    lines, counts = [], collections.Counter()
    for name, place in rows:
        table = TABLES[name]
        row = table["data"][place]
        given, answer = parts(table, row)
        reason = reason_to_skip(table, row)
        value = math.nan if reason else computed(name, place)
        outcome = "skipped" if reason else "passed" if within(value, answer, table["rtol"]) else "FAILED"
        counts[outcome] += 1
        published = " to ".join(map(str, answer))
        found = "" if reason else f"{value:.6g}"
        what = " ".join([name, *(str(cell) for cell in given.values())])
        lines.append(
            f"{what:<76.76} {table['status']:<5} {published:>16} {found:>12} {outcome} {reason or ''}".rstrip()
        )
    head = f"{'table and row':<76} {'from':<5} {'published':>16} {'computed':>12} outcome"
    return "\n".join([head, *lines, ", ".join(f"{n} {outcome}" for outcome, n in sorted(counts.items()))]), counts


@pytest.mark.parametrize("table", TABLES.values(), ids=TABLES)
def test_table_is_complete(table):
    assert table_faults(table) == []


@pytest.mark.parametrize("record", records.RECORDS.values(), ids=records.RECORDS)
def test_record_is_complete(record):
    assert form_faults(record, records.KEYS) == []


def test_every_check_has_a_table():
    assert {table["check"] for table in TABLES.values()} - {None} == set(CHECKS)


@pytest.mark.parametrize(("name", "place"), ROWS)
def test_published_value(name, place):
    table = TABLES[name]
    row = table["data"][place]
    if reason := reason_to_skip(table, row):
        pytest.skip(reason)
    _, answer = parts(table, row)
    value = computed(name, place)
    line = f"{table['source']}, {table['locator']}: {answer} published, {value:.6g} computed, rtol {table['rtol']}"
    print(line)
    assert within(value, answer, table["rtol"]), line


def test_all_published_values_in_one_table():
    text, counts = report(row.values for row in ROWS)
    print(text)
    assert counts.total() == sum(len(table["data"]) for table in TABLES.values())
    assert counts["passed"] > counts["skipped"] > 0
    assert counts["FAILED"] == 0


# Each check above can fail.


def test_a_wrong_value_stands_in_the_report(monkeypatch):
    name = "goodness_of_textbook_circuits"
    wrong = TABLES[name] | {"data": [[13.25, 0.144, 92.9], [13.25, None, 92.01]]}
    monkeypatch.setitem(TABLES, name, wrong)
    computed.cache_clear()
    text, counts = report([(name, 0), (name, 1)])
    computed.cache_clear()
    assert counts == {"FAILED": 1, "skipped": 1}
    assert "FAILED" in text and "unreadable cell" in text and text.endswith("1 FAILED, 1 skipped")


def test_every_way_to_skip_is_known():
    table = {"status": "M, D", "source": "a book"}
    assert reason_to_skip(table, [1.0]) is None
    assert reason_to_skip(table, [None]) == "unreadable cell"
    assert reason_to_skip(table | {"skip": "no"}, [1.0]) == "no"
    assert reason_to_skip(table | {"status": "M"}, [1.0]) == "from memory only: a book"


def test_a_check_of_the_same_name_is_refused():
    module = importlib.import_module("checks_heat")
    with pytest.raises(ValueError, match="exist already"):
        joined([module, module])


def test_a_row_that_is_not_in_a_record_is_refused():
    with pytest.raises(KeyError, match="0 rows"):
        records.row("textbook_circuits", machine="nobody's")


@pytest.mark.parametrize(
    ("answer", "rtol", "good", "bad"),
    [
        ([2.74], 1e-2, (2.72, 2.76), (2.71, 2.77, math.nan)),
        ([48, 52], 0, (48, 50, 52), (47.9, 52.1)),
        ([-1], 0.1, (-1.05,), (1, -1.2)),
    ],
)
def test_limits_are_seen(answer, rtol, good, bad):
    assert all(within(value, answer, rtol) for value in good)
    assert not any(within(value, answer, rtol) for value in bad)


@pytest.mark.parametrize(
    "change",
    [
        {"status": "Q"},
        {"source": ""},
        {"check": "nothing"},
        {"check": None},
        {"columns": ["slot", "expected"]},
        {"data": [[12, 12, 2]]},
        {"rtol": 0.5},
        {"more": 1},
    ],
)
def test_a_fault_of_a_table_is_seen(change):
    assert table_faults(TABLES["sawhney_3_1_carter_exact"] | change)


def test_what_cannot_be_computed_needs_a_reason():
    table = TABLES["sawhney_3_1_carter_exact"] | {"check": None}
    assert table_faults(table) == ["check"]
    assert table_faults(table | {"skip": "the package has no figure for it"}) == []
