"""Heavy work in a process of its own: started fresh, values in, bytes out, one at a time.

A PDF, a search, a simulation or an import may take longer than an answer may wait for, may need libraries that the
web process should never load, and may be asked of hostile input. `python -m app.worker` does one such job and ends.
"""

from app.worker.running import Worker, WorkStopped, run_in_worker, run_now, worker_of_this_loop

__all__ = ["WorkStopped", "Worker", "run_in_worker", "run_now", "worker_of_this_loop"]
