"""Load, greed and malice against a service of its own, through real sockets; each prints figures and is no test.

`python -m tests.load.greedy`, `python -m tests.load.hostile`, `python -m tests.load.soak --minutes 20`.
"""
