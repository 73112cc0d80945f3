"""The library: functions on arrays and frozen parameters; no web, no cluster."""

from noonhold.numerics.machine_code import set_compiled_code_folder

# numba reads the folder of its cache when it is imported, which happens in the modules below here.
set_compiled_code_folder()
