"""The screens: they turn a frozen view into a picture, and touches into intents.

SDL and fontconfig read the environment when they are loaded, so it is set here, before any module of this package.
"""

import os
from collections.abc import Mapping

from kiosk.fonts import FONTS_CONF

ENVIRONMENT: Mapping[str, str] = {
    "PYGAME_HIDE_SUPPORT_PROMPT": "1",
    "SDL_NO_SIGNAL_HANDLERS": "1",
    "SDL_TOUCH_MOUSE_EVENTS": "0",
    "SDL_MOUSE_TOUCH_EVENTS": "0",
    "SDL_FRAMEBUFFER_ACCELERATION": "0",
}
"""SDL does not install handlers for SIGTERM and SIGINT, a touch does not arrive a second time as a mouse event, and
frames are copied to the screen instead of drawn by OpenGL (measured on X11: 2.4 ms against 10.9)."""

os.environ["FONTCONFIG_FILE"] = str(FONTS_CONF)
for _name, _value in ENVIRONMENT.items():
    os.environ.setdefault(_name, _value)
