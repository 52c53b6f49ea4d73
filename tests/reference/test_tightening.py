"""Tight cords and knots against published lengths, angles and radii."""

from __future__ import annotations

from math import asin, cos, degrees, hypot, pi, radians, sin, sqrt

import numpy as np
import pytest
from scipy.optimize import brentq, minimize_scalar

from companion.structure.tightening.relaxing import STAGES, Stage, relax

FINE = (*STAGES, Stage(0.15, 800.0, 8000))
"""The known values are those of smooth lines: so many points that corners make no difference."""


def twisted(strands: int, radius: float, pitch: float = 6.0):
    """So many strands round each other, one turn each: lines, what follows each, the period, diameters."""
    turn = np.linspace(0, 1, 60, endpoint=False)
    lines = [
        np.column_stack([radius * np.cos(angle), pitch * turn, radius * np.sin(angle)])
        for angle in (2 * pi * (turn + number / strands) for number in range(strands))
    ]
    return lines, list(range(strands)), pitch, [1.0] * strands


def pitch_angle(relaxed) -> float:
    """Of strands that are helices: between a strand and a plane across the cord, in degrees."""
    return degrees(asin(relaxed.period * len(relaxed.lines) / relaxed.length))


def radii(relaxed) -> np.ndarray:
    points = np.vstack(relaxed.lines)
    middle = points.mean(axis=0)
    return np.hypot(points[:, 0] - middle[0], points[:, 2] - middle[2])


@pytest.mark.parametrize("angle", [50, 60])
def test_two_strands_steeper_than_45_degrees_touch_along_the_axis(angle) -> None:
    # K. Olsen and J. Bohr, "The generic geometry of helices and their close-packed structures", Theoretical Chemistry
    # Accounts 125, 2010: above 45 degrees a double helix has a radius of half a diameter. Drawn out with the share p of
    # the tension, its length is least where p = sin of the pitch angle (calculus; the radius being constant).
    relaxed = relax(*twisted(2, 0.9), lengthwise=sin(radians(angle)), stages=FINE)
    assert relaxed.converged
    assert radii(relaxed) == pytest.approx(0.5, abs=0.015)
    assert pitch_angle(relaxed) == pytest.approx(angle, abs=1)
    assert relaxed.overlap < 0.002


def test_two_strands_drawn_together_lie_as_the_contact_equation_has_it() -> None:
    # Olsen and Bohr, as above: two points of the strands at angle t apart are
    # sqrt(radius^2 (2 + 2 cos t) + (pitch t / 2 pi)^2) apart, which in a tight double helix is 1 at its least.
    def radius(pitch: float) -> float:
        def nearest(radius: float) -> float:
            found = minimize_scalar(
                lambda t: sqrt(radius**2 * (2 + 2 * cos(t)) + (pitch * t / 2 / pi) ** 2),
                bounds=(0.0, 3.0),
                method="bounded",
            )
            return min(found.fun, 2 * radius)

        return brentq(lambda radius: nearest(radius) - 1, 0.4, 1.0)

    shortest = minimize_scalar(lambda pitch: hypot(pitch, 2 * pi * radius(pitch)), bounds=(2.3, 3.5), method="bounded")
    relaxed = relax(*twisted(2, 0.9), stages=FINE)
    assert relaxed.converged
    assert relaxed.length / 2 == pytest.approx(shortest.fun, rel=0.005)
    assert relaxed.period == pytest.approx(shortest.x, rel=0.03)
    assert radii(relaxed).mean() == pytest.approx(radius(shortest.x), abs=0.02)


@pytest.mark.parametrize(("strands", "radius", "angle"), [(2, 0.9, 39.4), (3, 1.1, 42.8), (4, 1.2, 43.8)])
def test_ropes_of_least_length_are_those_that_strain_doesn_t_turn(strands, radius, angle) -> None:
    # J. Bohr and K. Olsen, "The ancient art of laying rope", Europhysics Letters 93, 2011: the most turns in a length
    # of strand, at these pitch angles (from memory).
    relaxed = relax(*twisted(strands, radius))
    assert relaxed.converged
    assert pitch_angle(relaxed) == pytest.approx(angle, abs=0.5)


def test_a_tight_rope_of_three_strands_has_68_hundredths_of_their_length() -> None:
    # The same paper, as "Physicists untangle the geometry of rope" (Science News, 2010) gives its result.
    relaxed = relax(*twisted(3, 1.1))
    assert relaxed.period * 3 / relaxed.length == pytest.approx(0.68, abs=0.005)


def trefoil() -> np.ndarray:
    t = np.linspace(0, 2 * pi, 300, endpoint=False)
    return np.column_stack([np.sin(t) + 2 * np.sin(2 * t), np.cos(t) - 2 * np.cos(2 * t), -np.sin(3 * t)])


def test_the_tight_trefoil_is_16_37_diameters_long() -> None:
    # T. Ashton, J. Cantarella, M. Piatek and E. Rawdon, "Knot tightening by constrained gradient descent", Experimental
    # Mathematics 20, 2011: 32.74 radii (from memory). E. Denne, Y. Diao and J. Sullivan, "Quadrisecants give new lower
    # bounds for the ropelength of a knot", Geometry & Topology 10, 2006: found less than 16.372, proved at least 15.66.
    relaxed = relax([trefoil()], [0], 0.0, [1.0], stages=FINE)
    assert relaxed.converged
    assert relaxed.length / (1 - relaxed.overlap) == pytest.approx(16.372, rel=0.005)


def test_two_linked_rings_are_each_drawn_to_a_circle_round_the_other() -> None:
    # J. Cantarella, R. Kusner and J. Sullivan, "On the minimum ropelength of knots and links", Inventiones mathematicae
    # 150, 2002: the tight link of two rings is two circles of radius one diameter, 4 pi diameters in all (from memory).
    t = np.linspace(0, 2 * pi, 60, endpoint=False)
    still = np.zeros_like(t)
    flat = np.column_stack([1.6 * np.cos(t), 1.6 * np.sin(t), still])
    upright = np.column_stack([1.6 + 1.6 * np.cos(t), still, 1.6 * np.sin(t)])
    relaxed = relax([flat, upright], [0, 1], 0.0, [1.0, 1.0])
    assert relaxed.converged
    assert relaxed.length == pytest.approx(4 * pi, rel=0.01)
