"""What exercises need: an answer cell that runs untouched and judges the number typed into it."""

import math


def check(answer, expected, hint, rtol=0.05):
    """Print whether a number typed into an exercise agrees with the computed one; a hint if not.

    Examples
    --------
    >>> check(None, 4.0, "square the ratio")
    Not answered yet.
    >>> check(4.1, 4.0, "square the ratio")
    Yes: 4.
    >>> check(2.0, 4.0, "square the ratio")
    Not yet: square the ratio.
    """
    if answer is None:
        print("Not answered yet.")
    elif math.isclose(answer, expected, rel_tol=rtol):
        print(f"Yes: {expected:.3g}.")
    else:
        print(f"Not yet: {hint}.")
