"""A booth that is asked to end between sitters is free only where nothing is lost by it."""

from tests.flow.test_reprint import PIN, booth


def test_a_booth_is_not_free_while_a_sitter_a_sheet_or_the_desk_is_busy(tmp_path):
    with booth(tmp_path) as pilot:
        pilot.advance(0.1)
        assert pilot.loop.is_free
        pilot.to_align("gb-passport-print")
        assert not pilot.loop.is_free
        pilot.until("review")
        pilot.tap("accept")
        pilot.until("collect")
        pilot.until("welcome")
        assert pilot.loop.is_free
        pilot.sign_in(PIN)
        assert not pilot.loop.is_free


def test_a_booth_at_rest_waits_for_a_sheet_that_is_still_printed(tmp_path):
    with booth(tmp_path) as pilot:
        pilot.to_align("gb-passport-print")
        pilot.until("review")
        pilot.tap("accept")
        pilot.until("welcome")
        (sheet,) = pilot.parts.kept.offered()
        pilot.loop._sheets.send_again(sheet.key)
        assert pilot.view.state == "welcome"
        assert not pilot.loop.is_free
