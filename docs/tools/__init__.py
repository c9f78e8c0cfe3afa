"""What writes parts of the documentation: the reference pages and the pictures. Run from a checkout."""
