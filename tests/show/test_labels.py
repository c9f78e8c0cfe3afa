"""Labels that keep out of each other's way."""

from hypothesis import given
from hypothesis import strategies as st

from sim.show.figures import labels

PIECES = st.lists(st.tuples(st.floats(-5, 5), st.floats(0.01, 2)), min_size=1, max_size=12)


@given(PIECES, st.floats(0, 0.5))
def test_pieces_never_overlap_and_keep_their_order(pieces, gap):
    pieces.sort()
    sizes = [size for _, size in pieces]
    found = labels.spread([middle for middle, _ in pieces], sizes, -100, 100, gap)
    for k in range(1, len(found)):
        assert found[k] - found[k - 1] >= (sizes[k] + sizes[k - 1]) / 2 + gap - 1e-9


@given(PIECES, st.floats(0, 0.5))
def test_pieces_stay_within_the_ends_if_they_fit(pieces, gap):
    pieces.sort()
    sizes = [size for _, size in pieces]
    high = sum(sizes) + gap * (len(sizes) - 1) + 0.1
    found = labels.spread([middle for middle, _ in pieces], sizes, 0.0, high, gap)
    assert found[0] - sizes[0] / 2 >= -1e-9
    assert found[-1] + sizes[-1] / 2 <= high + 1e-9


def test_a_piece_with_room_stands_where_it_wants_to():
    assert labels.spread([1.0, 5.0], [1.0, 1.0], 0.0, 10.0, 0.1) == [1.0, 5.0]


def test_a_long_or_unprintable_name_is_made_short_and_printable():
    assert labels.short("lip_low") == "lip low"
    assert labels.short("a\x1b[31m" + "b" * 40) == "a [31m" + "b" * 13 + "\u2026"
