"""Files are written whole or not at all."""

import contextlib
import os
import tempfile
from pathlib import Path

from scaling.ground import messages


def checked(path, suffixes):
    """Return a path to write to, or raise an error that says what to give.

    Raises
    ------
    TypeError, ValueError, FileNotFoundError
        if it is no path; if its suffix is none of these, or it is a folder; if its folder does not exist
    """
    if not isinstance(path, (str, os.PathLike)):
        raise TypeError(f"path: got {messages.shorten(path)}; expected a file's name, such as 'choice{suffixes[0]}'")
    place = Path(path)
    if place.suffix.lower() not in suffixes:
        raise ValueError(
            f"path: got {messages.shorten(place.name)}; expected a name that ends in {', '.join(suffixes)}"
        )
    if not place.parent.is_dir():
        raise FileNotFoundError(
            f"path: got {messages.shorten(str(path))}; its folder does not exist: make it first, or give another"
        )
    if place.is_dir():
        raise ValueError(f"path: got {messages.shorten(str(path))}, which is a folder; expected a file's name")
    return place


def write(path, text):
    """Write a text in UTF-8 to a path whole: an interruption leaves what was there before, and nothing beside it."""
    place = Path(path)
    handle, beside = tempfile.mkstemp(prefix=f".{place.name}.", dir=place.parent)
    try:
        with open(handle, "w", encoding="utf-8", newline="") as file:
            file.write(text)
        os.chmod(beside, _mode(place))
        os.replace(beside, place)
    except BaseException:
        with contextlib.suppress(FileNotFoundError):
            os.unlink(beside)
        raise


def _mode(place):
    """Return the permissions of a file: those of the one that is replaced, or those of a new one."""
    if place.exists():
        return place.stat().st_mode & 0o777
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask
