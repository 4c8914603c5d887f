"""What an order file says was measured, beside the sizes. An empty cell was not measured."""

from collections.abc import Mapping
from typing import Any

from crewjobs.actions.order_file import Cells

OF_ORDER: Mapping[str, str] = {
    "dishwasher": "yes, if one stands in the run and is fastened to the stone",
    "off_level": "how far the cabinets are out of level over their run",
}
OF_PIECE: Mapping[str, str] = {
    "overhang": "how far the piece reaches beyond its supports, at most",
    "span": "the widest opening that it bridges",
    "dishwasher_hole": "depth of holes drilled into its underside for a dishwasher",
    "sink_front_rail": "stone between the sink's hole and the front edge",
    "sink_back_rail": "stone between the sink's hole and the back edge",
    "sink_supported": "yes, if the cabinet carries the sink, not the stone; empty: not known",
    "sink_cabinet": "inside width of the cabinet below the sink",
    "cooktop_front_rail": "stone between the cooktop's hole and the front edge",
    "cooktop_back_rail": "stone between the cooktop's hole and the back edge",
    "cooktop_supported": "yes, if the cabinet carries the cooktop; empty: not known",
    "cooktop_cabinet": "inside width of the cabinet below the cooktop",
    "seam_to_sink": "from the seam to the nearest sink's hole",
    "seam_over_dishwasher": "yes, if the seam lies over a dishwasher; empty: not known",
    "seam_adhesive": "product and colour of the seam's adhesive",
}
MOST_MM = 10_000.0
MOST_HOLE_MM = 200.0
"""No stone is thicker."""


def of_site(cells: Cells) -> dict[str, Any]:
    """What was measured of the site."""
    return {
        "has_dishwasher": cells.yes("dishwasher"),
        "off_level_mm": cells.maybe_length_mm("off_level", most_mm=MOST_MM),
    }


def of_piece(cells: Cells) -> dict[str, Any]:
    """What was measured of a piece."""
    return {
        "overhang_mm": cells.maybe_length_mm("overhang", most_mm=MOST_MM),
        "span_mm": cells.maybe_length_mm("span", most_mm=MOST_MM),
        "dishwasher_hole_mm": cells.maybe_length_mm("dishwasher_hole", most_mm=MOST_HOLE_MM),
    }


def of_cutout(cells: Cells, name: str) -> dict[str, Any]:
    """What was measured around a sink's or a cooktop's hole."""
    return {
        "front_rail_mm": cells.maybe_length_mm(f"{name}_front_rail", most_mm=MOST_MM),
        "back_rail_mm": cells.maybe_length_mm(f"{name}_back_rail", most_mm=MOST_MM),
        "is_supported": cells.maybe_yes(f"{name}_supported"),
        "cabinet_mm": cells.maybe_length_mm(f"{name}_cabinet", most_mm=MOST_MM),
    }


def of_seam(cells: Cells) -> dict[str, Any]:
    """What was measured of a seam, and what it is bonded with."""
    return {
        "to_sink_mm": cells.maybe_length_mm("seam_to_sink", most_mm=MOST_MM),
        "is_over_dishwasher": cells.maybe_yes("seam_over_dishwasher"),
        "adhesive": cells.text("seam_adhesive", 80),
    }


def refuse_stray(cells: Cells) -> None:
    """Note measures of a hole or a seam that the row does not have."""
    for name, needed in (("sink", "sink"), ("cooktop", "cooktop_size"), ("seam", "seam_with")):
        own = [column for column in OF_PIECE if column.startswith(f"{name}_")]
        if cells.has(*own) and not cells.has(needed):
            cells.note(needed, "must not be empty: the row measures it")
