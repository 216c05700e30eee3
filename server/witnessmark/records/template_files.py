"""Card templates as files."""

from pathlib import Path

from ..rules.card_template import load_template
from ..rules.problems import Problem


def read(path):
    """The template in the YAML file at `path`. Raises Problem `template_refused`."""
    path = Path(path)
    try:
        text = path.read_bytes().decode("utf-8")
    except OSError as error:
        raise _refusal(path, f"the file cannot be read ({error.strerror}).", "a file that is there") from None
    except UnicodeDecodeError as error:
        raise _refusal(path, f"byte {error.start + 1} is not UTF-8.", "the file again, saved as UTF-8") from None
    return load_template(text, path.name)


def _refusal(path, found, advice):
    fault = {"trail": path.name, "found": found, "advice": advice}
    return Problem("template_refused", **fault, faults=[Problem("template_refused", **fault).sentence])
