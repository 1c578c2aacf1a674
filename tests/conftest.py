"""Keep OpenBLAS to one thread: a second one only waits on matrices as small as ours, and pytest has a worker a core.

Take Ctrl-C also where a shell that runs the tests in the background has it ignored: they raise it themselves.
"""

import os
import signal

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
    signal.signal(signal.SIGINT, signal.default_int_handler)
