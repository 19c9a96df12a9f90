from __future__ import annotations

import numpy as np
from hypothesis import given

from swaytrainer.sway.gaps import bridged, pieces
from tests.sway.made import Walk, walks


@given(walks())
def test_pieces_hold_every_sample_once_and_break_where_told(walk: Walk) -> None:
    whole = bridged(walk.x_mm, walk.breaks)
    found = pieces(whole)
    assert np.concatenate([np.arange(walk.x_mm.size)[piece] for piece in found]).tolist() == list(
        range(walk.x_mm.size)
    )
    starts = {piece.start for piece in found[1:]}
    for i in range(1, walk.x_mm.size):
        lost = np.isnan(walk.x_mm[i]) or np.isnan(walk.x_mm[i - 1]) or bool(walk.breaks[i])
        assert (i in starts) == lost
