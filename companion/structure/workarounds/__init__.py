"""Other ways for the hands to make exactly the same braid: the search, its proofs, and what is easy."""
