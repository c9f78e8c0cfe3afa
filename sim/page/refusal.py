"""A request that is refused, in words."""

from __future__ import annotations

from typing import Any


class RefusalError(Exception):
    """A request that cannot be carried out, in words; `status` says of what kind it is, as HTTP has them."""

    def __init__(self, message: str, status: int = 400, problems: list[dict[str, Any]] | None = None) -> None:
        super().__init__(message)
        self.status, self.problems = status, problems or []

    def as_data(self) -> dict[str, Any]:
        """As the page is answered."""
        return {"refused": self.status, "message": str(self), "problems": self.problems}
