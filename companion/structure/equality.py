"""Exact equality of braids by Dynnikov's integer coordinates.

A braid acts on the laminations of the punctured disc, which 2n integers describe. I. Dynnikov ("On a
Yang-Baxter map and the Dehornoy ordering", Russian Mathematical Surveys 57, 2002) gave the action of a
single crossing by additions and maxima; it is restated in P. Dehornoy, I. Dynnikov, D. Rolfsen,
B. Wiest, "Ordering Braids" (AMS Mathematical Surveys and Monographs 148, 2008, chapter XII). Only the trivial
braid fixes (0, 1, 0, 1, ..., 0, 1), so the image of that vector is a complete fingerprint of a braid.
"""

from __future__ import annotations

from companion.structure.word import BraidWord

Fingerprint = tuple[int, ...]


def fingerprint(word: BraidWord) -> Fingerprint:
    """The image of (0, 1, ..., 0, 1) under the braid: two words are the same braid iff their images are equal.

    2 * strands exact integers. One pass over the word: a fixed number of additions for each crossing, on
    integers whose length grows at most in proportion to the word.
    """
    return _act([0, 1] * word.strands, word.letters)


def same_braid(one: BraidWord, other: BraidWord) -> bool:
    """Whether two words are the same braid; words on different numbers of strands never are."""
    return one.strands == other.strands and fingerprint(one) == fingerprint(other)


def _act(vector: list[int], letters: tuple[int, ...]) -> Fingerprint:
    """The vector after the letters.

    With x+ = max(x, 0) and x- = min(x, 0), letter +k sends the four numbers (x, y, u, v) at 2k - 2 to 2k + 1 to

        x + y+ + (v+ - z)+,   v - z+,   u + v- + (y- + z)-,   y + z+     where z = x - y- - u + v+

    and letter -k sends them to

        x - y+ - (v+ + z)+,   v + z-,   u - v- - (y- - z)-,   y - z-     where z = x + y- - u - v+

    Branches instead of calls of max and min: this is the innermost loop of every comparison.
    """
    for letter in letters:
        at = 2 * letter - 2 if letter > 0 else -2 * letter - 2
        x, y, u, v = vector[at : at + 4]
        y_up, y_down = (y, 0) if y > 0 else (0, y)
        v_up, v_down = (v, 0) if v > 0 else (0, v)
        if letter > 0:
            z = x - y_down - u + v_up
            near, far = v_up - z, y_down + z
            z_up = z if z > 0 else 0
            vector[at : at + 4] = (
                x + y_up + near if near > 0 else x + y_up,
                v - z_up,
                u + v_down + far if far < 0 else u + v_down,
                y + z_up,
            )
        else:
            z = x + y_down - u - v_up
            near, far = v_up + z, y_down - z
            z_down = z if z < 0 else 0
            vector[at : at + 4] = (
                x - y_up - near if near > 0 else x - y_up,
                v + z_down,
                u - v_down - far if far < 0 else u - v_down,
                y - z_down,
            )
    return tuple(vector)
