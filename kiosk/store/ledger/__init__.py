"""The ledger: what the booth did, day by day, and never for whom.

`Bookkeeper` takes facts from the frame loop and writes them in a thread of its own; `file` opens, checks, copies and
upgrades the SQLite file; `reading` runs the queries of a day's or a month's report.
"""

from kiosk.store.ledger.bookkeeper import Bookkeeper

__all__ = ["Bookkeeper"]
