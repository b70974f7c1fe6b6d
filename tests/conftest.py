"""What every test finds: Ctrl-C reaches the programs that a test starts."""

import signal

if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
    # A run in a shell's background ignores it, and so would every process started here.
    signal.signal(signal.SIGINT, signal.default_int_handler)
