"""A question on the terminal, and its answer in a line."""

from __future__ import annotations


def ask(question: str) -> str:
    """What was answered, without blanks around it; "" where there is nobody to answer.

    Python's own input() writes the question on the C library's standard error, which is kept silent (see
    silenced_libraries.py): so the question is written here.
    """
    print(question, end=" ", flush=True)
    try:
        return input().strip()
    except EOFError:
        print()
        return ""


def agrees() -> bool:
    """Whether a consent is given that no option stands for: only a whole "yes" will do."""
    return ask("Do you agree? Type yes to begin:").lower() == "yes"
