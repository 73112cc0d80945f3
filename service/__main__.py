"""``python -m service``: start the service, or write its description."""

from pathlib import Path

from engine.machine_code import keep_compiled_code_apart

keep_compiled_code_apart(Path(__file__).resolve().parents[1])

# numba reads the folder of its cache when it is imported, which happens below here.
from service.commands import main  # noqa: E402

if __name__ == "__main__":
    main(prog_name="python -m service")
