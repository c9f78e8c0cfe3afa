"""From what is wanted to the smallest change that gives it."""
