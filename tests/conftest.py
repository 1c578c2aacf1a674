"""Keep OpenBLAS to one thread: a second one only waits on matrices as small as ours, and pytest has a worker a core."""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
