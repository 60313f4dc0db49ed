"""Loops of field vectors: the cells of the closed form, each dragged along by the field as by dry friction.

A cell's reversible field u stays while the field H is within its pinning field c of it; beyond, H drags it along like
a weight on a string of length c. The cell's flux density is Froelich's curve along u. Of the work H*dB the part u*dB is
stored, (H - u)*dB is heat (Bergqvist, Physica B 233 (1997) 342; Henrotte, Nicolet, Hameyer, COMPEL 25 (2006) 71; both
from memory).

A field that only alternates gives the closed form. In a rotating field every moving cell lags by asin(c/H), so its loss
keeps growing towards 2*pi*c*B_s per cycle. In a real steel rotating flux removes the domain walls near saturation and
the loss per cycle falls back to zero there: above the knee this model is not to be used for rotating fields.
"""

from typing import NamedTuple

import numpy as np

from scaling.ground.constants import VALUES


class Followed(NamedTuple):
    """What a path of fields does to a material: flux density [T], heat and energy stored since the start [J/m³]."""

    B: np.ndarray
    heat: np.ndarray
    stored: np.ndarray


class Fundamental(NamedTuple):
    """Permeability and lag of the fundamental along the main axis, and the loss per cycle of both axes [J/m³]."""

    mu_r: np.ndarray
    gamma: np.ndarray
    W_h: np.ndarray


def follow(path, loop, cells=32):
    """Return what a demagnetised material does on paths of field vectors.

    ``path`` has the shape (..., steps, 2) [A/m], ``loop`` is that of :func:`scaling.models.loops.fitted`; mu_0*H is
    left out. Steps are straight, of any length, and followed exactly; only the heat of a step across the string is of
    second order in its length. Evenly spread cells stand at Gauss's points up to the largest field of a path.
    """
    path = np.asarray(path, dtype=float)
    c, share, H_a = _cells(np.max(np.hypot(path[..., 0], path[..., 1]), axis=-1), loop, cells)
    share = loop["B_s"] * share
    apart, J, heat = np.zeros((*c.shape, 2)), np.zeros((*c.shape, 2)), np.zeros(path.shape[:-2])
    B, all_heat, stored = np.empty(path.shape), np.empty(path.shape[:-1]), np.empty(path.shape[:-1])
    H = np.zeros((*path.shape[:-2], 2))
    for step in range(path.shape[-2]):
        taut, apart = _dragged(apart, (path[..., step, :] - H)[..., None, :], c)
        H = path[..., step, :]
        u = H[..., None, :] - apart
        size = np.hypot(u[..., 0], u[..., 1])
        before, J = J, (share / (H_a + size))[..., None] * u
        heat = heat + np.sum((taut + apart) / 2 * (J - before), axis=(-2, -1))
        B[..., step, :], all_heat[..., step] = np.sum(J, axis=-2), heat
        stored[..., step] = np.sum(share * H_a * (np.log1p(size / H_a) - size / (H_a + size)), axis=-1)
    return Followed(B, all_heat, stored)


def _dragged(apart, step, c):
    """Return H - u when the string of length c comes taut on a straight step of H, and at the step's end.

    The string's end draws a tractrix: tan(phi/2) of the angle to the step falls as exp(-way/c).
    """
    length = np.hypot(step[..., 0], step[..., 1])
    still = (length == 0)[..., None]
    e = np.where(still, [1.0, 0.0], step / np.where(still, 1.0, length[..., None]))
    n = np.stack([-e[..., 1], e[..., 0]], axis=-1)
    ahead, aside = np.sum(apart * e, axis=-1), np.sum(apart * n, axis=-1)
    slack = np.clip(np.sqrt(np.maximum(c**2 - aside**2, 0.0)) - ahead, 0.0, length)
    ahead, way = ahead + slack, length - slack
    taut = ahead[..., None] * e + aside[..., None] * n
    moving = way > 0
    t = np.where(moving, aside * np.exp(-way / c) / np.where(moving, c + ahead, 1.0), 0.0)
    ahead, aside = np.where(moving, c * (1 - t**2) / (1 + t**2), ahead), np.where(moving, 2 * c * t / (1 + t**2), aside)
    return taut, ahead[..., None] * e + aside[..., None] * n


def _cells(largest, loop, cells):
    """Return pinning fields, shares and field constants of the cells, those pinned near the coercivity as the last."""
    at, weight = np.polynomial.legendre.leggauss(cells)
    H_c, m_c, w_c = loop["H_c"], loop["m_c"], loop["w_c"]
    low, high = (1 - w_c) * H_c, (1 + w_c) * H_c
    top = np.clip(largest, 1e-12 * H_c, 2 * H_c)[..., None]
    near = np.clip(largest, low * (1 + 1e-12), high)[..., None]
    c = np.concatenate([top * (1 + at) / 2, low + (near - low) * (1 + at) / 2], axis=-1)
    share = [(1 - m_c) * weight / 2 * top / (2 * H_c), m_c * weight / 2 * (near - low) / (high - low)]
    return c, np.concatenate(share, axis=-1), np.repeat([loop["H_a"], loop["H_b"]], cells)


def fundamental(H, ratio, loop, steps=120, cells=32):
    """Return the fundamental of the steady state in an elliptical field, without mu_0*H.

    The field is H*cos(angle) along the main axis and ratio*H*sin(angle) across it: 0 alternates, 1 rotates. Arrays of
    peak field [A/m] and axis ratio broadcast. Within 0.5 %, reached by the fourth turn from the demagnetised state.
    """
    H, ratio = np.broadcast_arrays(np.asarray(H, dtype=float), ratio)
    angle = 2 * np.pi * np.arange(4 * steps + 1) / steps
    across = ratio[..., None] * np.sin(angle)
    path = H[..., None, None] * np.stack([np.broadcast_to(np.cos(angle), across.shape), across], axis=-1)
    found = follow(path, loop, cells)
    wave = 2 * np.mean(found.B[..., -steps:, 0] * np.exp(-1j * angle[-steps:]), axis=-1)
    heat = found.heat[..., -1] - found.heat[..., -1 - steps]
    return Fundamental(np.abs(wave) / (VALUES["mu_0"] * H), -np.angle(wave), heat)
