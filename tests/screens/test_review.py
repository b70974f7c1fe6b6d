"""Where things stand on the review: two photos in the middle of their room, and no hole in the footer."""

import numpy as np

from kiosk.core.base.geometry import Size
from kiosk.i18n import Words
from kiosk.screens.toolkit import theme
from kiosk.screens.toolkit.layout import layout
from kiosk.screens.toolkit.scene import PanelPlace


def test_two_photos_stand_in_the_middle_of_their_room(draw, views, size):
    """The frame of the chosen one begins as far below the upper edge as its neighbour's mark ends above the lower."""
    stage, picture = draw(views["review_two"], size)
    room = layout(Size(*map(float, size))).shown
    framed = np.all(picture[:, : round(room.right), :3] == theme.GOOD.bgra[:3], axis=2)
    rows = np.flatnonzero(framed.sum(axis=1) > 300)
    (mark,) = [box for box, block in stage.blocks if block.text == Words.load("en").tr("review.best")]
    assert abs((rows[0] - room.y) - (room.bottom - mark.bottom)) < 30


def test_the_only_button_below_the_details_has_the_whole_footer(draw, views, size):
    stage, _ = draw(views["review_fail"], size, "en", PanelPlace("details"))
    (close,) = [target.rect for target in stage.targets if target.act == PanelPlace()]
    assert close == layout(Size(*map(float, size))).footer
