"""Numbers that all conjugates of a braid share: where two braids' numbers differ, their cords differ.

They are chosen so that they are known for every power of a braid as soon as they are known for the
braid itself, because a recipe's cycle may be several of another's.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from companion.loops.cycle import orbits
from companion.structure.word import BraidWord

MODULUS = 2**31 - 1
"""A prime: matrices are reckoned over the field of so many elements, exactly."""

PARAMETERS = (3, 1_000_003)
"""Where the Burau matrix, a matrix of polynomials in t, is evaluated."""

Matrix = list[list[int]]


def orbit_lengths(permutation: tuple[int, ...], times: int = 1) -> tuple[int, ...]:
    """The lengths of the orbits of a permutation repeated a number of times, the longest first."""
    repeated = list(range(len(permutation)))
    for _ in range(times):
        repeated = [permutation[image] for image in repeated]
    return tuple(sorted(map(len, orbits(tuple(repeated))), reverse=True))


def linking_rates(word: BraidWord) -> tuple[Fraction, ...]:
    """For every two strands how much they wind round each other in one cycle on average, sorted, zeros left out.

    The unit is a signed crossing. Along the cord two strands take turns in their places; the average is over all of
    these turns. Conjugate braids have the same rates; a braid repeated has its rates multiplied.
    """
    sums = word.crossing_sums()
    images = word.permutation
    rates: list[Fraction] = []
    done: set[tuple[int, int]] = set()
    for pair in sums:
        if pair in done:
            continue
        turns = [pair]
        while (following := _image(turns[-1], images)) != pair:
            turns.append(following)
        done.update(turns)
        rate = Fraction(sum(sums.get(turn, 0) for turn in turns), len(turns))
        if rate:
            rates += [rate] * len(turns)
    return tuple(sorted(rates))


def _image(pair: tuple[int, int], images: tuple[int, ...]) -> tuple[int, int]:
    one, other = images[pair[0]], images[pair[1]]
    return (one, other) if one < other else (other, one)


def burau_matrix(word: BraidWord, t: int, modulus: int = MODULUS) -> Matrix:
    """The reduced Burau matrix at ``t``, of strands - 1 rows, over the integers modulo a prime.

    Crossing +k changes the unit matrix in row k, to t, -t, 1 about the diagonal (W. Burau, "Über
    Zopfgruppen und gleichsinnig verdrillte Verkettungen", 1936; J. Birman, "Braids, Links, and Mapping
    Class Groups", 1974, chapter 3); the matrix of a word is the product in the order of its letters.
    """
    size = word.strands - 1
    inverse = pow(t, -1, modulus)
    columns = [[int(row == column) for row in range(size)] for column in range(size)]
    for letter in word.letters:
        at = abs(letter) - 1
        before, here, after = (t, -t, 1) if letter > 0 else (1, -inverse, inverse)
        middle = columns[at]
        if at > 0:
            columns[at - 1] = [(a + before * b) % modulus for a, b in zip(columns[at - 1], middle, strict=True)]
        if at + 1 < size:
            columns[at + 1] = [(a + after * b) % modulus for a, b in zip(columns[at + 1], middle, strict=True)]
        columns[at] = [here * b % modulus for b in middle]
    return [list(row) for row in zip(*columns, strict=True)]


def characteristic_polynomial(matrix: Matrix, modulus: int = MODULUS) -> tuple[int, ...]:
    """The coefficients of det(x - matrix) modulo a prime, the leading 1 first.

    By the Hessenberg form (H. Cohen, "A Course in Computational Algebraic Number Theory", algorithm 2.2.9).
    """
    form = _hessenberg(matrix, modulus)
    polynomials = [[1]]
    for m in range(len(form)):
        # Lowest coefficient first: p[m+1] = (x - h[m][m]) p[m] - sum of h[i][m] * (subdiagonal product) * p[i].
        previous = polynomials[m]
        new = [0, *previous]
        for power, coefficient in enumerate(previous):
            new[power] = (new[power] - form[m][m] * coefficient) % modulus
        product = 1
        for i in range(m - 1, -1, -1):
            product = product * form[i + 1][i] % modulus
            factor = product * form[i][m] % modulus
            for power, coefficient in enumerate(polynomials[i]):
                new[power] = (new[power] - factor * coefficient) % modulus
        polynomials.append(new)
    return tuple(reversed(polynomials[-1]))


def _hessenberg(matrix: Matrix, p: int) -> Matrix:
    """A similar matrix with nothing below the diagonal's lower neighbours."""
    form = [list(row) for row in matrix]
    size = len(form)
    for m in range(1, size - 1):
        pivot = next((i for i in range(m, size) if form[i][m - 1]), None)
        if pivot is None:
            continue
        form[pivot], form[m] = form[m], form[pivot]
        for row in form:
            row[pivot], row[m] = row[m], row[pivot]
        inverse = pow(form[m][m - 1], -1, p)
        for i in range(m + 1, size):
            factor = form[i][m - 1] * inverse % p
            if factor:
                form[i] = [(a - factor * b) % p for a, b in zip(form[i], form[m], strict=True)]
                for row in form:
                    row[m] = (row[m] + factor * row[i]) % p
    return form


def power_traces(polynomial: tuple[int, ...], most: int, modulus: int = MODULUS) -> tuple[int, ...]:
    """Traces of a matrix's first powers, from the 1st, by its characteristic polynomial and I. Newton's identities."""
    coefficients = polynomial[1:]
    traces: list[int] = []
    for k in range(1, most + 1):
        total = k * coefficients[k - 1] if k <= len(coefficients) else 0
        total += sum(c * traces[k - 2 - i] for i, c in enumerate(coefficients[: k - 1]))
        traces.append(-total % modulus)
    return tuple(traces)


@dataclass(frozen=True)
class Invariants:
    """The invariants of a braid and of its powers."""

    word: BraidWord

    MOST_CYCLES = 12
    """Powers for which the traces are known."""

    @cached_property
    def rates(self) -> tuple[Fraction, ...]:
        """``linking_rates``."""
        return linking_rates(self.word)

    @cached_property
    def polynomials(self) -> tuple[tuple[int, ...], ...]:
        """The Burau matrix's characteristic polynomial at each of the parameters."""
        return tuple(characteristic_polynomial(burau_matrix(self.word, t)) for t in PARAMETERS)

    @cached_property
    def _traces(self) -> tuple[tuple[int, ...], ...]:
        most = self.MOST_CYCLES * 3
        return tuple(power_traces(polynomial, most) for polynomial in self.polynomials)

    def traces(self, cycles: int) -> tuple[tuple[int, ...], ...]:
        """At each parameter the traces of the Burau matrix of so many cycles, and of that squared and cubed.

        Raises ValueError for more than ``MOST_CYCLES``.
        """
        if not 1 <= cycles <= self.MOST_CYCLES:
            raise ValueError(f"traces are known for 1 to {self.MOST_CYCLES} cycles, not {cycles}")
        return tuple(tuple(of[cycles * power - 1] for power in (1, 2, 3)) for of in self._traces)
