"""The ledger: what was done, day by day, and never for whom.

`Bookkeeper` takes facts from the frame loop and writes them in a thread of its own; `file` opens, checks, copies and
brings up to date the SQLite file; `reading` answers the questions of a day's or a month's report.
"""

from kiosk.store.ledger.bookkeeper import Bookkeeper

__all__ = ["Bookkeeper"]
