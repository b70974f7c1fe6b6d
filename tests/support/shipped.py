"""The documents that the program is shipped with, read once."""

from kiosk.catalogue.documents import Catalogue

CATALOGUE = Catalogue.load()
