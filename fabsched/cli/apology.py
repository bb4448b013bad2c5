"""What is said and noted when the program itself is at fault."""

from pathlib import Path

from platformdirs import user_log_path

from fabsched.session.wording import phrase

LOG_BYTES = 1_000_000
"""Size at which a new log file is begun; one old file is kept."""


def log_file() -> Path:
    """Where faults of the program are noted."""
    return user_log_path("fabsched", appauthor=False) / "fabsched.log"


def apology(error: BaseException) -> str:
    """Note an error with its traceback in the log, and say so in one line."""
    try:
        _note(error)
    except OSError:
        return phrase("bug-unlogged", what=f"{type(error).__name__}: {error}")
    return phrase("bug", log=str(log_file()))


def _note(error: BaseException) -> None:
    import logging  # noqa: PLC0415 - hardly ever needed, and would keep every start waiting
    from logging.handlers import RotatingFileHandler  # noqa: PLC0415 - see above

    log_file().parent.mkdir(parents=True, exist_ok=True)
    handler = RotatingFileHandler(log_file(), maxBytes=LOG_BYTES, backupCount=1, encoding="utf-8")
    handler.setFormatter(logging.Formatter("%(asctime)s %(levelname)s %(message)s"))
    record = logging.LogRecord(
        name="fabsched",
        level=logging.ERROR,
        pathname=__file__,
        lineno=0,
        msg=type(error).__name__,
        args=None,
        exc_info=(type(error), error, error.__traceback__),
    )
    try:
        handler.emit(record)
    finally:
        handler.close()
