"""Small words for error messages, and strict reading of a choice among names."""

import difflib
import reprlib


def shorten(value):
    """Return any value on one line of at most 40 characters, quickly whatever it is.

    Examples
    --------
    >>> shorten("x" * 10**6)[-5:], len(shorten("x" * 10**6))
    ('xxxx…', 40)
    """
    if isinstance(value, (str, bytes, bytearray)):
        text = repr(value[:41])
    elif hasattr(value, "magnitude") and hasattr(value, "units"):
        text = f"{shorten(value.magnitude)} {value.units}"
    else:
        try:
            text = " ".join(reprlib.repr(value).split())
        except ValueError:  # it holds an integer too long for Python to print
            text = f"<{type(value).__name__}>"
    return text if len(text) <= 40 else text[:39] + "…"


def choice(value, names, field, meant=None):
    """Return ``value`` if it is one of the names; ``meant`` {other word: name} helps to suggest one.

    Raises
    ------
    TypeError, ValueError
        if the value is not a text; if it is none of the names (the nearest is suggested)

    Examples
    --------
    >>> choice("copper", ("copper", "aluminium"), "conductor")
    'copper'
    """
    expected = ", ".join(f"'{name}'" for name in names)
    if not isinstance(value, str):
        raise TypeError(f"{field}: got {shorten(value)}; expected one of {expected}")
    if value not in names:
        word = value[:60].strip().lower()
        said = {name.lower(): name for name in names} | {word.lower(): name for word, name in (meant or {}).items()}
        near = [word] if word in said else difflib.get_close_matches(word, said, n=1)
        hint = f" (did you mean '{said[near[0]]}'?)" if near else ""
        raise ValueError(f"{field}: got {shorten(value)}{hint}; expected one of {expected}")
    return value


def renamed(name, names, owner):
    """Return the sentence that tells the present name of what an earlier version called otherwise.

    Examples
    --------
    >>> renamed("blame", {"blame": "sensitivity"}, "a certainty")
    "a certainty has no 'blame' any more: it is called 'sensitivity'"
    """
    return f"{owner} has no {name!r} any more: it is called {names[name]!r}"
