"""The screens: a frozen view in, a picture and the sitter's intents out."""

import os

from kiosk.fonts import FONTS_CONF

os.environ["FONTCONFIG_FILE"] = str(FONTS_CONF)
