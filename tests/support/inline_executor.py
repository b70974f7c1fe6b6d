"""An executor without a thread, for booths on a manual clock: what is submitted is done at once."""

from concurrent.futures import Executor, Future


class InlineExecutor(Executor):
    """Does a job where it is submitted, so that every run is like the other."""

    def submit(self, fn, /, *args, **kwargs):
        future = Future()
        try:
            future.set_result(fn(*args, **kwargs))
        except Exception as error:
            future.set_exception(error)
        return future
