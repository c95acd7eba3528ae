"""Labels of the odds curve, where they can, cross neither lines nor each other."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

from hypothesis import assume, given
from hypothesis import strategies as st

from lees.chart.marks import Mark, Room, in_lanes, marks
from truth.findings import CLEAN

ROOM = Room(left=40.0, right=460.0, per_run=1.0, gap=5.0)


@given(
    st.lists(
        st.tuples(st.integers(1, 420), st.integers(20, 200)),
        min_size=1,
        max_size=5,
        unique_by=lambda one: one[0],
    )
)
def test_labels_cross_nothing(drawn: list[tuple[int, int]]) -> None:
    reach = [wide + ROOM.gap for _, wide in drawn]
    assume(sum(reach) + max(reach) <= ROOM.left + ROOM.right)
    some = [Mark(((str(run), float(run)),), (0.1,), ours=False) for run, _ in drawn]
    widths = dict(zip((one.named for one in some), (float(w) for _, w in drawn), strict=True))
    placed = in_lanes(some, list(widths.values()), ROOM)
    spans = {}
    for one in placed:
        x, wide = one.runs[0], widths[one.named] + ROOM.gap
        spans[one.named] = (x - wide, x) if one.on_left else (x, x + wide)
    for a, b in combinations(placed, 2):
        if a.lane == b.lane:
            assert spans[a.named][1] <= spans[b.named][0] or spans[b.named][1] <= spans[a.named][0]
        low, high = sorted((a, b), key=lambda one: one.lane)
        if low.lane < high.lane:  # the higher label's line runs down past the lower label
            start, end = spans[low.named]
            assert not start < high.runs[0] < end


def test_runs_nearly_alike_share_a_label_and_ours_stands_by_itself() -> None:
    fill = replace(CLEAN.next_fill, proposals=(), this_fill=14800.0, maker=15000.0, advised=15000.0)
    assert [one.label for one in marks(fill)] == [
        "this fill 14\u202f800, the maker 15\u202f000",
        "advised 15\u202f000",
    ]
