"""Functions from results and the reader's units to a `Document`, one for each command. The answer comes first."""
