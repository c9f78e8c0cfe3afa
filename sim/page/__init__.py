"""The bench and the tank on a page: a server on the loopback that answers one maker's browser."""
