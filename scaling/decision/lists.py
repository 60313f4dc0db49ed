"""Lists of briefs from a table in a file."""

import csv
import dataclasses
import os
from collections.abc import Mapping
from dataclasses import dataclass

from scaling.decision import trade_words
from scaling.decision.brief import Brief
from scaling.decision.choose import Choice, choose
from scaling.decision.fields import read
from scaling.decision.saved import Saved
from scaling.ground import messages
from scaling.ground.rounds import Progress, rounds

_YES_NO = {"yes": True, "no": False}


def read_briefs(path: str | os.PathLike, name_column: str = "drive") -> dict[str, Brief]:
    """Return {name: Brief} from a CSV file whose columns are named after the fields of Brief.

    An empty cell takes the field's default. A range is written "10 Hz to 200 Hz", a truth value "yes" or "no". Columns
    that are no field, such as a description, are ignored if their name holds a space. Rows of one name that ask the
    same, as in a saved answer with a row for every type, are one drive.

    Parameters
    ----------
    path : str or path
        a file in UTF-8
    name_column : str
        the column that names the rows

    Raises
    ------
    TypeError, ValueError
        as Brief does, with the row's name in front; for an unknown column or two rows of one name that differ

    Examples
    --------
    >>> import pathlib, tempfile
    >>> path = pathlib.Path(tempfile.mkdtemp(), "drives.csv")
    >>> _ = path.write_text("drive,rotor_diameter\\nhoist,220 mm\\nshutter,3 mm\\n", encoding="utf-8")
    >>> list(read_briefs(path))
    ['hoist', 'shutter']
    """
    fields = {f.name: f for f in dataclasses.fields(Brief) if f.init}
    briefs: dict[str, Brief] = {}
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
            given = {c: _cell(row[c].strip(), fields[c]) for c in fields if row.get(c) and row[c].strip()}
            try:
                brief = Brief(**given)
            except (TypeError, ValueError) as error:
                raise type(error)(f"{messages.shorten(name)}: {error}") from error
            if briefs.setdefault(name, brief) != brief:
                raise ValueError(f"{name_column}: {messages.shorten(name)} stands twice; expected one row a name")
    return briefs


def _cell(text, field):
    """Return a cell's text as Brief takes it."""
    if "bool" in field.metadata:
        return _YES_NO.get(text, text)
    if "kind" in field.metadata and " to " in text:
        return tuple(text.split(" to ", 1))
    return text


@dataclass(frozen=True)
class Choices(Saved, Mapping):
    """The choices for a list of drives, ``choices["hoist"]``, in the order of the list."""

    merit: str
    choices: dict[str, Choice]

    def __getitem__(self, name: str) -> Choice:
        if name not in self.choices:
            raise KeyError(f"{messages.shorten(name)} is not in the list; expected one of {', '.join(self.choices)}")
        return self.choices[name]

    def __iter__(self):
        return iter(self.choices)

    def __len__(self):
        return len(self.choices)

    @property
    def briefs(self) -> dict[str, Brief]:
        """The briefs by name."""
        return {name: made.brief for name, made in self.choices.items()}


def choose_each(
    briefs: Mapping[str, Brief], merit: str = "torque per volume", progress: Progress | None = None
) -> Choices:
    """Return the choice for every drive of a list.

    Parameters
    ----------
    briefs : mapping
        {name: Brief}, such as ``read_briefs`` returns
    merit : str
        as in ``choose``
    progress : callable, optional
        called as ``progress(done, total)`` after every drive

    Returns
    -------
    Choices

    Raises
    ------
    TypeError, ValueError
        if the list is no mapping or empty; as ``choose``

    Examples
    --------
    >>> made = choose_each({"fan": Brief(rotor_diameter="110 mm"), "vane": Brief(rotor_diameter="3 mm")})
    >>> [made[name].best.kind for name in made]
    ['induction', 'hysteresis']
    """
    if not isinstance(briefs, Mapping):
        raise TypeError(f"briefs: got {messages.shorten(briefs)}; expected names and briefs, as read_briefs returns")
    if not briefs:
        raise ValueError("briefs: got none; expected one or more, as read_briefs returns")
    return Choices(merit, {name: choose(briefs[name], merit) for name in rounds(list(briefs), progress)})
