"""Documents written down: `text` for a terminal, `html` for a file that stands alone."""
