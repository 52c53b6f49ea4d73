"""The fingerprint tells braids apart exactly: unchanged by the braid relations, changed by anything else."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from companion.structure.equality import fingerprint, same_braid
from companion.structure.word import BraidWord


@st.composite
def words(draw: st.DrawFn, longest: int = 40) -> BraidWord:
    """A random word on three to eight strands."""
    strands = draw(st.integers(3, 8))
    letters = draw(st.lists(st.integers(1, strands - 1).flatmap(lambda k: st.sampled_from((k, -k))), max_size=longest))
    return BraidWord(tuple(letters), strands)


@st.composite
def words_with_a_relation(draw: st.DrawFn) -> tuple[BraidWord, BraidWord]:
    """A word and the same braid, rewritten several times by E. Artin's relations and by k -k = nothing."""
    word = draw(words())
    letters = list(word.letters)
    for _ in range(draw(st.integers(1, 8))):
        at = draw(st.integers(0, len(letters)))
        k = draw(st.integers(1, word.strands - 2))
        sign = draw(st.sampled_from((1, -1)))
        far = [other for other in range(1, word.strands) if abs(other - k) > 1]
        relations = [
            (sign * k, -sign * k),
            (sign * k, sign * (k + 1), sign * k, -sign * (k + 1), -sign * k, -sign * (k + 1)),
            *((sign * k, other, -sign * k, -other) for other in far),
        ]
        letters[at:at] = draw(st.sampled_from(relations))
    return word, BraidWord(tuple(letters), word.strands)


@given(words_with_a_relation())
def test_relations_leave_the_fingerprint_as_it_is(pair: tuple[BraidWord, BraidWord]) -> None:
    one, other = pair
    assert fingerprint(one) == fingerprint(other)


@given(words(), st.data())
def test_one_more_crossing_changes_the_fingerprint(word: BraidWord, data: st.DataObject) -> None:
    k = data.draw(st.integers(1, word.strands - 1).flatmap(lambda k: st.sampled_from((k, -k))))
    at = data.draw(st.integers(0, len(word)))
    longer = BraidWord((*word.letters[:at], k, *word.letters[at:]), word.strands)
    assert fingerprint(longer) != fingerprint(word)


@given(words())
def test_a_word_and_its_inverse_are_nothing(word: BraidWord) -> None:
    assert same_braid(word * word.inverse, BraidWord((), word.strands))


def test_the_empty_word_keeps_the_starting_vector() -> None:
    assert fingerprint(BraidWord((), 3)) == (0, 1, 0, 1, 0, 1)
    assert fingerprint(BraidWord((), 1)) == (0, 1)


def test_the_full_twist_is_no_trivial_braid_though_its_permutation_is() -> None:
    twist = BraidWord((1, 2) * 3, 3)
    assert twist.permutation == (0, 1, 2)
    assert not same_braid(twist, BraidWord((), 3))


def test_the_full_twist_commutes_with_everything() -> None:
    twist = BraidWord((1, 2, 3) * 4, 4)
    for k in (1, 2, 3):
        crossing = BraidWord((k,), 4)
        assert same_braid(twist * crossing, crossing * twist)


def test_words_on_different_strands_are_never_the_same() -> None:
    assert not same_braid(BraidWord((1,), 2), BraidWord((1,), 3))


def test_integers_of_any_length_stay_exact() -> None:
    word = BraidWord((1, -2) * 500, 3)
    assert max(map(abs, fingerprint(word))) > 10**200
    assert same_braid(word * word.inverse, BraidWord((), 3))
