"""A rotor out of centre by a finite distance, solved two ways that know nothing of small displacements.

``energy`` maps the eccentric circles onto concentric ones (a Möbius map), where an idle rotor's field is a Fourier
series; ``force`` matches fields of many orders on both circles by least squares, rotor and stator conducting.
"""

import numpy as np
from scipy import special

MU_0 = 1.25663706212e-6  # CODATA 2018


def energy(pole_pairs, displacement, radius, permeability, points=4096):
    """Return the co-energy per mu_0, length and squared peak of a sheet on the bore, of radius one, of ideal iron."""
    near, far = displacement - radius, displacement + radius
    # v = (z - shift)/(1 - shift*z) keeps the bore where it is, and puts the rotor's two points on the x axis at -r, r.
    total, product = near + far, 1 + near * far
    shift = total / (product + np.sqrt(product**2 - total**2))
    mapped = (far - shift) / (1 - shift * far)
    v = np.exp(2j * np.pi * np.arange(points) / points)
    angle = np.angle((v + shift) / (1 + shift * v))
    stretch = (1 - shift**2) / np.abs(1 + shift * v) ** 2
    current = np.fft.fft(np.exp(-1j * pole_pairs * angle) * stretch)[1:] / points  # the mean is zero
    order = np.abs(np.fft.fftfreq(points, 1 / points)[1:])
    image = (permeability - 1) / (permeability + 1) * mapped ** (2 * order)
    potential = current / order * (1 + image) / (1 - image)
    # Half of current times potential, and half again for the mean over time.
    return np.pi / 2 * np.sum(np.abs(current * potential))


def log_slope(function, order, z):
    """Return z*f'(z)/f(z) of a scaled Bessel function of whole order, I (ive) or K (kve)."""
    sign = 1 if function is special.ive else -1
    around = function(order - 1, z) + function(order + 1, z)
    return sign * z * around / (2 * function(order, z))


def force(*, pole_pairs, sense, frequency, speed, whirl, radius, bore, rotor, stator, sheet, displacement, orders=10):
    """Return (along, across): force per displacement and length, of a rotor displaced along x at this instant.

    ``rotor`` and ``stator`` are (conductivity, permeability), the stator without end. Fields of order n go with
    exp(-j*n*theta) and, in a frame that turns with the displacement, with one frequency.
    """
    n, m = np.arange(-orders, orders + 1), sense * pole_pairs
    at = 2 * np.pi * frequency + (n - m) * whirl  # frequency of each order at rest
    slopes, permeabilities = [], []
    for (sigma, mu), past, size, function in (
        (rotor, at - n * speed, radius, special.ive),
        (stator, at, bore, special.kve),
    ):
        mu = np.where(past < 0, np.conj(mu), mu)
        slope = log_slope(function, np.abs(n), np.sqrt(1j * past * MU_0 * mu * sigma + 0j) * size)
        # Order zero stays a constant: no current from end to end.
        slopes.append(np.where(n == 0, 0, slope))
        permeabilities.append(mu)

    def gap(x, y):
        """Return value and gradient of the gap's fields: those about the bore's centre, those about the rotor's."""
        rows = []
        for centre, size, power in ((0.0, bore, 1), (displacement, radius, -1)):
            z = (x - centre + 1j * y)[:, None]
            r, step = np.abs(z) / size, power * np.abs(n)
            f = r**step * np.exp(-1j * n * np.angle(z))
            radial, around, turn = step * f / np.abs(z), -1j * n * f / np.abs(z), z / np.abs(z)
            keep = n != 0
            parts = f, radial * turn.real - around * turn.imag, radial * turn.imag + around * turn.real
            rows.append([part[:, keep] for part in parts])
        return [np.hstack(pair) for pair in zip(*rows, strict=True)]

    theta = 2 * np.pi * np.arange(4 * orders) / (4 * orders)
    cos, sin, wave = np.cos(theta), np.sin(theta), np.exp(-1j * n * theta[:, None])
    blocks, nothing = [], np.zeros((theta.size, n.size))
    for centre, size, place in ((displacement, radius, 0), (0.0, bore, 1)):
        f, along_x, along_y = gap(centre + size * cos, size * sin)
        normal = size * (along_x * cos[:, None] + along_y * sin[:, None])
        for of_gap, of_iron in ((f, wave), (normal, wave * (slopes[place] / permeabilities[place]))):
            beside = [of_gap, nothing, nothing]
            beside[1 + place] = -of_iron
            blocks.append(np.hstack(beside))
    load = np.zeros((4, theta.size), complex)
    load[3] = MU_0 * sheet * bore * np.exp(-1j * m * theta)
    found = np.linalg.lstsq(np.vstack(blocks), load.ravel(), rcond=1e-13)[0]
    middle = (radius + displacement + bore) / 2
    _, along_x, along_y = gap(middle * cos, middle * sin)
    known = found[: along_x.shape[1]]
    B_x, B_y = along_y @ known, -(along_x @ known)
    through, square = B_x * cos + B_y * sin, np.abs(B_x) ** 2 + np.abs(B_y) ** 2
    stress = [np.real(B * np.conj(through)) - square * away / 2 for B, away in ((B_x, cos), (B_y, sin))]
    return np.array([np.pi * middle * np.mean(part) / (MU_0 * displacement) for part in stress])
