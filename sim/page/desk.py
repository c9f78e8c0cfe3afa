"""What the page asks through forms: started on the present text, looked at, stopped, taken or handed out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from sim.page.forms import Form, FormError, found
from sim.page.jobs import Studies, Study
from sim.page.refusal import RefusalError
from sim.page.workspace import Workspace
from sim.show.units import Units


class Desk:
    """The forms of a page and the studies that were started with them."""

    def __init__(self, forms: Sequence[Form]) -> None:
        self.forms, self.studies = tuple(forms), Studies()

    def offered(self) -> dict[str, Any]:
        """The forms as data."""
        return {"forms": [form.as_data() for form in self.forms]}

    def study(self, given: Mapping[str, Any], space: Workspace, units: Units) -> dict[str, Any]:
        """Start (`form`, `given`), look at (`number`) or stop (`number`, `stop`) a study."""
        if given.get("number") is None:
            study = self._started(given, space, units)
        else:
            study = self._study(given)
            if given.get("stop"):
                self.studies.stop(study.number)
        return {
            "number": study.number,
            "revision": study.revision,
            "running": study.running,
            "stopped": study.status is not None and study.status < 0,
            "failed": study.status not in (None, 0) and not study.said,
            "said": study.said,
            "remarks": [
                study.form.in_its_words(line)
                for line in study.remarks.splitlines()
                if not line.startswith("Wrote ")
            ],
            "progress": study.progress,
            "made": study.form.makes if study.made else "",
        }

    def take(self, given: Mapping[str, Any], space: Workspace) -> None:
        """Put one of the designs that a study proposes in place of the text that it was asked of."""
        study, which = self._study(given), int(given.get("proposal", 0))
        if not 0 <= which < len(study.proposed):
            raise RefusalError("It proposes nothing.", 404)
        if study.text != space.text:
            raise RefusalError("The design was changed since this was asked; ask again.", 409)
        space.write(study.proposed[which], space.revision)

    def made(self, number: int, name: str) -> bytes:
        """A file that a study has made."""
        study = self._study({"number": number})
        if study.made is None or study.form.makes != name:
            raise RefusalError("There is no such file.", 404)
        return study.made

    def _started(self, given: Mapping[str, Any], space: Workspace, units: Units) -> Study:
        form = found(self.forms, str(given.get("form", "")))
        if form is None:
            raise RefusalError("There is no such form.", 404)
        told = {str(key): str(value) for key, value in dict(given.get("given") or {}).items()}
        try:
            return self.studies.start(form, told, space.text, space.path, space.revision, units.name)
        except FormError as problem:
            raise RefusalError(str(problem)) from problem
        except RuntimeError as problem:
            raise RefusalError(f"{problem}.", 429) from problem

    def _study(self, given: Mapping[str, Any]) -> Study:
        study = self.studies.find(int(given.get("number", -1)))
        if study is None:
            raise RefusalError("There is no such study.", 404)
        return study
