"""Wires as they are sold: diameters of round enamelled conductors by the preferred numbers of ISO 3."""

import numpy as np

# A decade of R40; every second one is R20. ISO 3, from memory; IEC 60317-0-1 names R20 preferred, R40 in between.
R40 = (
    1.00, 1.06, 1.12, 1.18, 1.25, 1.32, 1.40, 1.50, 1.60, 1.70, 1.80, 1.90, 2.00, 2.12, 2.24, 2.36, 2.50, 2.65, 2.80,
    3.00, 3.15, 3.35, 3.55, 3.75, 4.00, 4.25, 4.50, 4.75, 5.00, 5.30, 5.60, 6.00, 6.30, 6.70, 7.10, 7.50, 8.00, 8.50,
    9.00, 9.50,
)  # fmt: skip
SERIES = {"R20": R40[::2], "R40": R40}
FINEST, THICKEST = 0.018e-3, 5e-3  # m, of IEC 60317-0-1 (from memory)


def diameters(series):
    """Return the conductor diameters of a series, the finest first [m].

    Examples
    --------
    >>> (1e3 * diameters("R20")[-4:]).round(2).tolist()
    [3.55, 4.0, 4.5, 5.0]
    """
    decades = [step * 10.0**decade for decade in (-5, -4, -3) for step in SERIES[series]]
    made = np.array(decades)
    return made[(made >= FINEST * (1 - 1e-9)) & (made <= THICKEST * (1 + 1e-9))]
