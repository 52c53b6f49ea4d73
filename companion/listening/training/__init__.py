"""Trains the classifier of the command wordings: a tool for those who change a vocabulary; no session imports it."""


class TrainingFault(RuntimeError):  # noqa: N818 (told in one sentence, like the other faults)
    """What the training needs is missing or doesn't work. The message is one sentence."""
