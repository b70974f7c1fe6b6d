"""The ledger of many booths: an office's PostgreSQL database, beside the ledger of each booth, which stays the truth.

`office` reaches the database, `sender` sends it a booth's facts in a thread of its own, and `reading` counts what
several booths did. `hardware/fleet/ledger.sql` makes the tables.
"""
