"""The page's own German: the catalogue without the folder of what paper alone says."""

import importlib.util
import json
import sys

from crena.draw import german


def _of_the_page():
    spec = importlib.util.spec_from_file_location("page_s_german", german.__file__)
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    files = [json.loads(file.read_text("utf-8")) for file in german.CATALOGUE.glob("*.json")]
    module.catalogue = lambda: {key: words for file in files for key, words in file.items()}
    return module


in_german = _of_the_page().in_german
"""As `crena.draw.german.in_german`, but the page does not read what paper alone says."""
