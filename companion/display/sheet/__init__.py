"""A cord on one printed page: drawings of hands and moves, the words beside them, and the page as HTML and PDF."""
