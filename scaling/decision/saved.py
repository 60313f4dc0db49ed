"""Answers that can be saved as a page to hand over.

A page stands above the decision: it draws and needs figures. So answers do not import what writes them; ``scaling``
itself, above all rooms, puts it into ``WRITERS`` when it is imported: a function that loads figures at its first use.
"""

import os
from collections.abc import Callable
from typing import Any

WRITERS: dict[str, Callable[..., None]] = {}


class Saved:
    """An answer with ``save``."""

    def save(self, path: str | os.PathLike, title: str = "", date: str = "") -> None:
        """Write the answer to a file: .html to read and print, .md for a text, .csv for figures in SI.

        A page of its own, without network or script; a table holds every figure to the last digit, and the briefs as
        ``read_briefs`` reads them. A file that is there is replaced, whole or not at all.

        Parameters
        ----------
        path : str or path
        title : str
            what the page is about; the answer itself if not given
        date : str
            printed as it is; none if not given

        Raises
        ------
        TypeError, ValueError, FileNotFoundError
            if the suffix is another, or the folder does not exist
        """
        WRITERS["answer"](self, path, title=title, date=date)


class SavedChoice(Saved):
    """A choice with ``save``."""

    def save(  # type: ignore[override]
        self,
        path: str | os.PathLike,
        title: str = "",
        date: str = "",
        certainty: Any = None,
        assumptions: str = "measured",
        curve: bool = True,
    ) -> None:
        """Write the choice to a file: .html to read and print on two pages, .md for a text, .csv for figures in SI.

        A page of its own, without network or script: brief, answer, margin with its tie band, what binds, sections,
        merit against size, losses, why types are in or out, what the answer hangs on, sources, cautions. A table holds
        every figure of every type to the last digit, and the brief as ``read_briefs`` reads it. A file that is there is
        replaced, whole or not at all.

        Parameters
        ----------
        path : str or path
        title : str
            what the page is about; the answer itself if not given
        date : str
            printed as it is; none if not given
        certainty : Certainty, optional
            of ``certainty(brief)``: how sure the choice is
        assumptions : str
            what the answer hangs on: "measured", as its tie band is, of a plain brief by size; "worked out" for this
            brief, which takes twenty choices, some seconds; or "left out"
        curve : bool
            whether to draw merit against size, which takes some choices

        Raises
        ------
        TypeError, ValueError, FileNotFoundError
            if the suffix is another, the folder does not exist, or the certainty is that of another choice
        """
        more = {"certainty": certainty, "assumptions": assumptions, "curve": curve}
        WRITERS["answer"](self, path, title=title, date=date, **more)
