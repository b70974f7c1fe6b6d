"""The command `holdstill`: one handler turns every error into a sentence, a next step and an exit code.

Exit code 0 means done and, for `measure`, conforming; 1 measured but not conforming; 2 a wrong command line; any other
code is that of an error in `kiosk.errors`. Results go to standard output, messages to standard error.

Only what Python has loaded by itself is imported at the top, so that Ctrl-C is answered from the first moment on.
"""

from __future__ import annotations

import atexit
import errno
import gc
import sys

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Sequence

    from kiosk.errors import KioskError

_OF_A_NAME = (errno.ENAMETOOLONG, errno.EACCES, errno.ELOOP)
"""What the system has against a name that a user gave, which no command need foresee."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code.

    What is left at the end goes with the process: to search it for garbage first takes 0.08 s.
    """
    atexit.register(gc.freeze)
    try:
        return _run(arguments)
    except KeyboardInterrupt:
        from kiosk.commands.output import complain
        from kiosk.errors import Interrupted

        return complain(Interrupted())


def _run(arguments: Sequence[str] | None) -> int:
    import logging

    from kiosk.commands.output import complain, hush
    from kiosk.commands.parser import parser_of_all
    from kiosk.commands.streams import standard_streams
    from kiosk.errors import KioskError, ResultsUnread

    try:
        with standard_streams():
            given = sys.argv[1:] if arguments is None else arguments
            options = parser_of_all(given).parse_args(given)
            hush(options.quiet)
            logging.basicConfig(
                level=logging.INFO if options.verbose else logging.WARNING,
                format="%(asctime)s %(name)s: %(message)s",
                stream=sys.stderr,
            )
            code: int = options.run(options)
            return code
    except ResultsUnread as unread:
        return unread.exit_code
    except KioskError as error:
        return complain(error)
    except Exception as error:
        logging.getLogger(__name__).info("traceback of the error", exc_info=True)
        return complain(_in_words(error))


def _in_words(error: Exception) -> KioskError:
    """Return an unexpected error for the user: a name that the system refuses, or a fault of this program."""
    from kiosk.errors import BadCommand, KioskError, os_reason

    if isinstance(error, OSError) and error.errno in _OF_A_NAME and isinstance(error.filename, str):
        return BadCommand(detail=f"{error.filename}: {os_reason(error)}")
    return KioskError(detail=_kind_and_place(error))


def _kind_and_place(error: Exception) -> str:
    """Return the type and place of an unexpected error, but not its message, which may contain somebody's name."""
    import traceback
    from pathlib import Path

    *_, frame = traceback.extract_tb(error.__traceback__)
    return f"{type(error).__name__} at {Path(frame.filename).name}:{frame.lineno}; --verbose shows the traceback"


if __name__ == "__main__":
    sys.exit(main())
