"""The colours of what is read on white: paper, and a phone in the sun.

One blue that darkens with the gait, one rust for trouble, one deep green for calm. They differ in lightness
first, so that a grey printer and colour-blind eyes keep them apart; whatever has a colour also has a shape or
a place of its own. Text keeps a contrast of at least 4.5 to 1 (WCAG 2.2, 1.4.3); a test computes it.
"""

from __future__ import annotations

PAPER = "#ffffff"
INK = "#17242c"
QUIET = "#4c5a63"
RULE = "#d5dce0"
AXIS = "#8795a0"

GAITS = ("#eef4f8", "#c3dbe8", "#8fbdd6", "#4f93b8", "#246789")
"""By level: stand, walk, trot, lope, gallop."""

LINE = "#123244"
UNSURE = "#eef2f4"
REACTION = "#a83c07"
SHADE = "#f8dfc9"
SHADE_EDGE = "#c9763f"
CALM = "#0c5f4b"
TURN = "#6a5a14"
SHOWN = "#75609f"
WORN = "#8a745c"
PASSAGE = "#8a6a00"

LEFT, RIGHT = "#246789", "#8fbdd6"
"""The two reins in bars; the label tells them, not the tint."""
