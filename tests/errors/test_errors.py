import pickle
import re
import signal
from string import Formatter

from kiosk.errors import EXIT_DONE, EXIT_NOT_CONFORMING, KioskError, UnknownPaper, all_errors


def _placeholders(text: str) -> set[str]:
    return {re.split(r"[!:]", name)[0] for _, name, _, _ in Formatter().parse(text) if name}


def test_keys_are_unique_and_exit_codes_leave_room_for_verdicts():
    """Codes of 126 and above belong to the shell, which gives 128 and the number of a signal (POSIX, 2.8.2)."""
    errors = all_errors()
    assert len({error.key for error in errors}) == len(errors)
    assert not {error.exit_code for error in errors} & {EXIT_DONE, EXIT_NOT_CONFORMING}
    signals = {128 + number for number in (signal.SIGINT, signal.SIGPIPE)}
    assert {error.exit_code for error in errors if error.exit_code >= 126} == signals


def test_every_error_is_one_sentence_with_a_next_step():
    for error in all_errors():
        assert error.sentence.rstrip().endswith("."), error
        assert error.next_step.rstrip().endswith((".", "}.")), error
        assert _placeholders(error.next_step) <= _placeholders(error.sentence) | {"nearest", "known"}, error


def test_an_error_crosses_a_process_boundary_whole():
    error = UnknownPaper(paper="4x7in", known="4x6in, a4")
    copy = pickle.loads(pickle.dumps(error))
    assert type(copy) is UnknownPaper
    assert str(copy) == str(error) == "No paper is called '4x7in'."
    assert copy.advice.endswith("a name of PWG 5101.1, or one of: 4x6in, a4.")


def test_the_base_error_is_caught_by_its_class():
    assert all(issubclass(error, KioskError) for error in all_errors())
