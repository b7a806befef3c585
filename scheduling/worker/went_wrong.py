"""What went wrong behind the pages, in words that a manager can act on."""

from django.db import DatabaseError, DataError, IntegrityError

FULL = ("disk is full", "no space left", "disk full")
BUSY = ("locked", "deadlock", "lock timeout")


def say_why(error: BaseException) -> str:
    """Return a sentence on an error, with what the program said in short."""
    said = " ".join(str(error).split())[:300]
    return f"{_plainly(error, said.lower())} ({type(error).__name__}: {said})"


def _plainly(error: BaseException, said: str) -> str:
    if any(words in said for words in FULL):
        return "There is no room left on the disk; make some, and it goes on by itself."
    if isinstance(error, MemoryError):
        return "The machine ran out of memory."
    if isinstance(error, IntegrityError | DataError):
        return "A row does not fit the others; the log says which."
    if isinstance(error, DatabaseError):
        busy = any(words in said for words in BUSY)
        return "The database was busy." if busy else "The database did not answer as it should."
    if isinstance(error, OSError):
        return "A file or a connection failed."
    return "The program came upon something that it cannot work with; the log says where."
