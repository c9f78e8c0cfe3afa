"""From the tests of a log to what they teach of the model and of the lure."""
