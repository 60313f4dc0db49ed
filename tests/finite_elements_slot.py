"""Slots opposite a smooth rotor, all iron ideal, by finite elements of second order: teeth at potentials, rotor at 0.

Currents are far up in their slots, so that the field there is straight; lengths over the slot pitch.
"""

import numpy as np
from finite_elements_saliency import edges
from skfem import Basis, BilinearForm, ElementQuad2, MeshQuad, asm, condense, solve
from skfem.helpers import dot, grad

ABOVE = 3.0  # height of the slot above the lip, in slot pitches


def flux(centres, steps, *, end, gap, opening, lip=0.0, width=None, finest=2e-3):
    """Return twice the field's energy over mu_0 from x = 0 to ``end``, less that of straight fields above the lips.

    ``centres`` of slots count from 0, where the potential is 0; the potential of the teeth steps up by ``steps`` at
    each, by half of it at a slot at 0. ``width`` is that of the slots above the lip.
    """
    width = opening if width is None else width
    centres, steps = np.asarray(centres, float), np.asarray(steps, float)
    potential = np.cumsum(np.where(centres == 0.0, steps / 2, steps))
    walls = np.add.outer(centres, np.array([-width, -opening, opening, width]) / 2).ravel()
    walls = np.unique(walls[(walls > 0) & (walls < end)])
    fine = finest * min(gap, opening)
    x = edges(sorted({0.0, end, *walls, *centres}), walls, fine, 0.1, 0.25)
    y = edges(sorted({-gap, 0.0, lip, lip + ABOVE}), np.array([0.0, lip]), fine, max(gap / 4, 0.05), 0.25)
    mesh = MeshQuad.init_tensor(x, y)

    def wall(x, y, near=0.0):
        """Return where points from the gap upwards lie in iron or on its face."""
        away = np.abs(x[:, None] - centres).min(axis=1)
        return (y > -near) & ((away > width / 2 - near) | ((away > opening / 2 - near) & (y < lip + near)))

    air = np.flatnonzero(~wall(*mesh.p[:, mesh.t].mean(axis=1)))
    basis = Basis(mesh.restrict(air), ElementQuad2())
    stiffness = asm(BilinearForm(lambda u, v, _: dot(grad(u), grad(v))), basis)
    (x, y), near = basis.doflocs, 1e-6 * fine
    zero = (x < near) | (y < near - gap)
    tooth = wall(x, y, near) & ~zero
    passed = np.searchsorted(centres, x)
    solved = np.where(tooth & (passed > 0), potential[passed - 1], 0.0)
    solved = solve(*condense(stiffness, x=solved, D=np.flatnonzero(zero | tooth)))
    straight = np.sum(steps**2 * np.where(centres == 0.0, 0.5, 1.0)) * ABOVE / width
    return solved @ (stiffness @ solved) - straight


def carter_lost(gap, opening):
    """Return the length of gap without a field that an opening is worth."""
    u = opening / (2 * gap)
    return 4 / np.pi * (u * np.arctan(u) - np.log(1 + u**2) / 2) * gap


def mouth_permeance(gap, lip=0.0, width=1.0):
    """Return the leakage permeance of the lip and mouth of one slot over mu_0 and length, lengths over the opening.

    It is what is left beside a step of the potential in Carter's gap.
    """
    scale = 0.5  # of the opening to the mesh's unit
    end = scale * (0.5 + width + 8 * max(gap, 1.0))
    half = flux([0.0], [1.0], end=end, gap=scale * gap, opening=scale, lip=scale * lip, width=scale * width)
    return 2 * half - (2 * end - carter_lost(scale * gap, scale)) / (4 * scale * gap)


def winding_leakage(c_q, *, gap, opening, lip=0.0, width=None):
    """Return (leakage over the fundamental's field in Carter's gap, permeance 1 of every slot over the same).

    Three phases, full pitch, one phase at its largest current, which does not matter: the winding is isotropic. Half a
    pole from the middle of that phase's belt is meshed.
    """
    end = 1.5 * c_q
    centres = np.arange(0.0 if c_q % 2 else 0.5, end)
    steps = np.where(centres < c_q / 2, 1.0, 0.5)
    whole = flux(centres, steps, end=end, gap=gap, opening=opening, lip=lip, width=width)
    k = np.pi / (3 * c_q)
    wave = 3 * c_q / np.pi * np.exp(1j * k * (np.arange(c_q) - (c_q - 1) / 2)).mean().real  # amplitude of the force
    fundamental = wave**2 * k / np.tanh(k * gap / (1 - carter_lost(gap, opening))) * end / 2
    one = np.sum(steps**2 * np.where(centres == 0.0, 0.5, 1.0)) / fundamental
    return whole / fundamental - 1, one
