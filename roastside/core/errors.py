"""One exception type a floor; each message is a sentence: what, where, what to do."""


class RoastsideError(Exception):
    """A trouble the person can do something about. `exit_code` is contract 4's."""

    exit_code = 2


class UsageError(RoastsideError):
    """Bad usage or bad input."""


class RecordError(RoastsideError):
    """A roast file cannot be read, or is not one."""


class StoreError(RoastsideError):
    """A recording cannot be stored."""

    exit_code = 4


class ProbeError(RoastsideError):
    """The probe cannot be reached."""

    exit_code = 3


class BookError(RoastsideError):
    """The book cannot be read or changed."""
