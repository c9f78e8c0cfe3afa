"""The cache of compiled code must know every file that it was compiled from."""

from pathlib import Path

import sim
from sim import compiled

PACKAGE = Path(sim.__file__).parent


def test_every_file_with_compiled_code_is_part_of_the_name_of_the_cache():
    sources = [PACKAGE / name for name in compiled._SOURCES]
    for path in PACKAGE.rglob("*.py"):
        if "\n@compiled" in path.read_text(encoding="utf-8"):
            assert any(path == source or source in path.parents for source in sources), path


def test_the_name_of_the_cache_names_files_that_are_there():
    assert all((PACKAGE / name).exists() for name in compiled._SOURCES)
