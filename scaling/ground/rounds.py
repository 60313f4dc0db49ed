"""Long work in rounds that tells how far it is."""

from collections.abc import Callable, Iterator, Sequence
from typing import Any

from scaling.ground import messages

Progress = Callable[[int, int], Any]  # called with rounds done and all rounds


class Rounds:
    """Rounds of a work: calls ``progress(done, total)`` at the start, with 0, and whenever it is called itself.

    What ``progress`` raises ends the work, and so does KeyboardInterrupt: nothing is kept of a work that did not end.

    Parameters
    ----------
    progress : callable, optional
    total : int

    Raises
    ------
    TypeError
        if ``progress`` cannot be called

    Examples
    --------
    >>> done = Rounds(lambda done, total: print(done, "of", total), 2)
    0 of 2
    >>> done()
    1 of 2
    """

    def __init__(self, progress: Progress | None, total: int) -> None:
        if progress is not None and not callable(progress):
            raise TypeError(
                f"progress: got {messages.shorten(progress)}; expected a function of done and total, such as "
                "lambda done, total: print(done, 'of', total)"
            )
        self.progress, self.total, self.done = progress, total, -1
        self()

    def __call__(self) -> None:
        self.done += 1
        if self.progress is not None:
            self.progress(self.done, self.total)


def rounds(work: Sequence, progress: Progress | None) -> Iterator:
    """Yield pieces of work one after the other, and tell ``progress`` how many are done.

    Examples
    --------
    >>> list(rounds("ab", lambda done, total: print(done, "of", total)))
    0 of 2
    1 of 2
    2 of 2
    ['a', 'b']
    """
    done = Rounds(progress, len(work))
    for piece in work:
        yield piece
        done()
