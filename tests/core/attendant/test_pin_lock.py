"""The PIN's lock, as a table of waits."""

from kiosk.core.attendant.pin_lock import FREE_TRIES, LONGEST_WAIT_S, locked


def test_the_waits_grow_and_are_those_of_the_standard():
    """NIST SP 800-63B, 5.2.2 (from memory): a wait of 30 s up to an hour, growing; at most 100 tries in a row."""
    waits_s = [locked(wrong, 0.0).left_s(0.0) for wrong in range(100)]
    assert waits_s[: FREE_TRIES + 5] == [0.0, 0.0, 0.0, 30.0, 60.0, 120.0, 240.0, 480.0]
    assert all(30.0 <= wait_s <= 3600.0 for wait_s in waits_s[FREE_TRIES:])
    assert waits_s == sorted(waits_s)
    assert waits_s[-1] == LONGEST_WAIT_S
    assert sum(waits_s) > 23 * 3600


def test_a_wait_ends():
    lock = locked(4, 100.0)
    assert [lock.left_s(now_s) for now_s in (100.0, 130.0, 160.0, 500.0)] == [60.0, 30.0, 0.0, 0.0]
