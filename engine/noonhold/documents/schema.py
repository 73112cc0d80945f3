"""The ground of every schema: unknown fields refused, rules across fields, faults with pointers.

A schema loads to plain values; :meth:`DocumentSchema.build` then makes the frozen dataclass. What
a document left out is filled in between the two, and every default is reported as an assumption.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from heapq import nsmallest
from typing import Any, ClassVar, Generic, TypeVar

from marshmallow import RAISE, Schema, ValidationError, missing, post_dump, validates_schema
from marshmallow.fields import Field

from noonhold.documents.fields import Items, Part, Problem
from noonhold.errors import MOST_FAULTS, DocumentError, Fault
from noonhold.numerics.time_limit import check_time

T = TypeVar("T")
Path = tuple[str | int, ...]
Filling = tuple[Path, Any, str]  # where, what was taken, why
# No field's name is longer; the search for a near name takes the square of the length.
_LONGEST_NAME = 64
_USUAL_NAMES: Mapping[str, tuple[str, ...]] = {
    "lon": ("longitude",),
    "lng": ("longitude",),
    "altitude": ("elevation_m",),
    "kwh": ("battery_kwh", "usable_energy_wh"),
    "wh": ("usable_energy_wh", "battery_kwh"),
    "capacity": ("usable_energy_wh", "battery_kwh"),
    "capacity_wh": ("usable_energy_wh", "battery_kwh"),
    "battery_wh": ("battery_kwh", "usable_energy_wh"),
    "solar_w": ("roof_array_w", "rated_power_w"),
    "watts": ("rated_power_w", "power_w", "roof_array_w"),
    "color": ("colour",),
    "size": ("outer_size",),
    "insulation": ("walls", "layers"),
    "soc": ("state_of_charge",),
}


@dataclass(frozen=True)
class Assumption:
    """A value that the document did not give.

    Parameters
    ----------
    path : str
        JSON pointer of the field; ``*`` stands for every item of a list that lacks it.
    value : object
        What was taken; ``None`` where nothing was.
    reason : str
        Why.
    decisive : bool, optional
        Whether its own plausible range turns the verdict; known only where that was tried.
    """

    path: str
    value: object
    reason: str
    decisive: bool = False


@dataclass(frozen=True)
class Loaded(Generic[T]):
    """What a document says, and what was assumed because it does not say it."""

    value: T
    assumptions: tuple[Assumption, ...]


class Problems:
    """Collects what the rules of one schema find, each at its path within the schema."""

    def __init__(self) -> None:
        self.tree: dict[Any, Any] = {}

    def add(
        self, path: str | Path, message: str, bound: str | None = None, hint: str | None = None
    ) -> None:
        """Note a problem at a path: keys and indices, or one key."""
        *parents, last = (path,) if isinstance(path, str) else path or ("_schema",)
        node = self.tree
        for part in parents:
            inner = node.setdefault(part, {})
            if isinstance(inner, list):
                # A whole that already has a problem of its own keeps it beside those of its parts.
                inner = node[part] = {"_schema": inner}
            node = inner
        here = node.setdefault(last, [])
        if isinstance(here, dict):
            here = here.setdefault("_schema", [])
        here.append(Problem(message, bound, hint))


class DocumentSchema(Schema):
    """A part of a document; subclasses name their fields, their rules and their dataclass."""

    class Meta:
        """Unknown fields are faults."""

        unknown = RAISE

    target: ClassVar[type[Any] | None] = None

    def __init__(self, **options: Any) -> None:
        super().__init__(**options)
        known = tuple(sorted(field.data_key or name for name, field in self.fields.items()))
        self.error_messages = {
            "type": Problem("must be an object", "fields " + ", ".join(known)),
            "unknown": Problem("unknown field", choices=known),
        }

    def rules(self, data: dict[str, Any], given: Mapping[str, Any], problems: Problems) -> None:
        """Note what is wrong across fields.

        ``data`` holds what was read so far and may lack what is faulty; ``given`` is the document
        as it came. Subclasses overrule this.
        """

    def derived(self, data: dict[str, Any]) -> Iterable[tuple[str, Any, str]]:
        """Return what follows from other fields where it is absent: name, value, reason."""
        return ()

    def build(self, data: dict[str, Any]) -> Any:
        """Make the dataclass from valid data; fields it does not have are left out."""
        target = self.target
        if target is None:
            raise TypeError(f"{type(self).__name__} names no dataclass")
        names = target.__dataclass_fields__
        return target(**self.built({k: v for k, v in data.items() if k in names}))

    def built(self, data: dict[str, Any]) -> dict[str, Any]:
        """Return the data with every part made into its dataclass and every list into a tuple."""
        result: dict[str, Any] = {}
        for name, value in data.items():
            field = self.fields.get(name)
            if isinstance(field, Part):
                result[name] = schema_of(field).build(value)
            elif isinstance(field, Items):
                inner = field.inner
                result[name] = tuple(
                    schema_of(inner).build(item) if isinstance(inner, Part) else item
                    for item in value
                )
            else:
                result[name] = value
        return result

    @validates_schema(pass_original=True, skip_on_field_errors=False)
    def _check_rules(self, data: Any, original: Any, **_: Any) -> None:
        # A large document is read under its caller's limit of time too.
        check_time()
        if not isinstance(original, Mapping):
            return
        problems = Problems()
        self.rules(data, original, problems)
        if problems.tree:
            raise ValidationError(problems.tree)

    def dumped(self, data: dict[str, Any], source: Any) -> dict[str, Any]:
        """Return the document of a dataclass in the form the schema reads; for subclasses."""
        return data

    @post_dump(pass_original=True)
    def _finish_dump(self, data: dict[str, Any], original: Any, **_: Any) -> dict[str, Any]:
        data = self.dumped(data, original)
        return {k: v for k, v in data.items() if v is not None and v != [] and v != {}}


def schema_of(field: Part) -> DocumentSchema:
    """Return the schema of a part."""
    schema = field.schema
    if not isinstance(schema, DocumentSchema):
        raise TypeError(f"{type(schema).__name__} is no document schema")
    return schema


def pointer(path: Iterable[str | int]) -> str:
    """Return the JSON pointer (RFC 6901) of a path.

    Examples
    --------
    >>> pointer(("rig", "shell", "panels", 2, "area_m2"))
    '/rig/shell/panels/2/area_m2'
    """
    return "".join("/" + str(part).replace("~", "~0").replace("/", "~1") for part in path)


def load_document(
    schema: DocumentSchema, document: object, root: Path = ()
) -> tuple[dict[str, Any], list[Assumption]]:
    """Read a document by its schema and fill in what it leaves out.

    Parameters
    ----------
    schema : DocumentSchema
        What the document must be.
    document : object
        As the JSON parser returned it.
    root : tuple of str or int
        Where it stands in a larger document; the start of every pointer.

    Returns
    -------
    dict
        Plain values, ready for :meth:`DocumentSchema.build`.
    list of Assumption
        One for every value filled in; lists' items that share one share a line.

    Raises
    ------
    DocumentError
        With every fault.
    """
    try:
        data: dict[str, Any] = schema.load(document)  # type: ignore[arg-type] # refuses what is no mapping
    except ValidationError as error:
        raise DocumentError(*faults_of(error, document, root)) from None
    found: list[Filling] = []
    fill(schema, document, data, root, found)
    return data, merged(found)


def load_value(schema: DocumentSchema, document: object, root: Path = ()) -> Loaded[Any]:
    """Read a document by its schema into the value that the schema builds."""
    data, assumptions = load_document(schema, document, root)
    return Loaded(schema.build(data), tuple(assumptions))


def dump_value(schema: DocumentSchema, value: object) -> dict[str, Any]:
    """Return the document of a value, by its schema."""
    document: dict[str, Any] = schema.dump(value)
    return document


def faults_of(error: ValidationError, document: object, root: Path = ()) -> tuple[list[Fault], int]:
    """Return marshmallow's nested messages as faults in the order of the document's paths.

    Parameters
    ----------
    error : marshmallow.ValidationError
        Of loading the document.
    document : object
        As the JSON parser returned it.
    root : tuple of str or int
        Where it stands in a larger document.

    Returns
    -------
    faults : list of Fault
        The first :data:`noonhold.errors.MOST_FAULTS` of them.
    omitted : int
        How many more there are.

    Notes
    -----
    Looking for near names costs most, so it is done only for the faults that are returned.
    """
    found: list[tuple[Path, Any]] = []

    def walk(messages: Any, path: Path) -> None:
        if isinstance(messages, Mapping):
            for key, inner in messages.items():
                walk(inner, path if key == "_schema" else (*path, key))
        else:
            found.extend((path, message) for message in messages)

    walk(error.messages, ())
    # An index sorts by its number, a name by its letters.
    first = nsmallest(MOST_FAULTS, found, lambda item: [(isinstance(p, str), p) for p in item[0]])
    faults = [_fault(*each, document, root) for each in first]
    return faults, len(found) - len(faults)


def _fault(path: Path, message: object, document: object, root: Path) -> Fault:
    problem = message if isinstance(message, Problem) else Problem(str(message))
    hint = problem.hint
    if problem.choices and path:
        hint = near_name(str(path[-1]), problem.choices) or hint
    return Fault(
        pointer((*root, *path)),
        str(problem),
        _value_at(document, path),
        problem.bound or (", ".join(problem.choices) or None),
        hint,
    )


def near_name(given: str, known: Iterable[str]) -> str | None:
    """Return a hint where a name is nearly one that is known, else ``None``.

    Parameters
    ----------
    given : str
        As the document has it.
    known : iterable of str
        The fields that there are.

    Returns
    -------
    str or None
        An abbreviation (``lat``), a name without its unit (``length``), a usual other word
        (``kwh``), or a slip of the fingers; never a name that only ends alike (``height_m`` is no
        ``mid_height_m``).
    """
    name, choices = given[:_LONGEST_NAME].lower(), tuple(known)
    begins = [each for each in choices if len(name) > 2 and each.startswith(name)]
    usual = [each for each in _USUAL_NAMES.get(name, ()) if each in choices]
    close = [
        each
        for each in get_close_matches(name, choices, n=3)
        if not each.endswith("_" + name) and not name.endswith("_" + each)
    ]
    near = usual or begins or close
    return f"did you mean {near[0]}?" if near else None


def _value_at(document: Any, path: Path) -> Any:
    """Return what stands at a path, ``None`` where there is nothing."""
    for part in path:
        if isinstance(document, Mapping):
            document = document.get(part)
        elif isinstance(document, list) and isinstance(part, int) and part < len(document):
            document = document[part]
        else:
            return None
    return document


def fill(
    schema: DocumentSchema,
    given: Any,
    data: dict[str, Any],
    path: Path,
    found: list[Filling],
) -> None:
    """Note every default that was taken, fill in what is derived, and go down into the parts."""
    for name, field in schema.fields.items():
        key = field.data_key or name
        reason = getattr(field, "reason", None)
        if key not in given and reason is not None:
            value = data.get(name)
            found.append(((*path, key), field.serialize(name, {name: value}), reason))
        if name not in data or data[name] is missing:
            continue
        if isinstance(field, Part) and (key in given or field.fill):
            fill(schema_of(field), given.get(key, {}), data[name], (*path, key), found)
        elif isinstance(field, Items) and isinstance(field.inner, Part) and key in given:
            for index, item in enumerate(data[name]):
                place = (*path, key, index)
                fill(schema_of(field.inner), given[key][index], item, place, found)
    for name, value, reason in schema.derived(data):
        data[name] = value
        field = schema.fields[name]
        found.append(((*path, field.data_key or name), _shown(field, name, data), reason))


def _shown(field: Field[Any], name: str, data: dict[str, Any]) -> Any:
    """Return a derived value as an assumption shows it: of a list's items the plain values."""
    if not isinstance(field, Items) or data[name] is None:
        return field.serialize(name, data)
    plain = (str, int, float)
    return [
        {k: str(v) if isinstance(v, str) else v for k, v in item.items() if isinstance(v, plain)}
        for item in data[name]
    ]


def merged(found: Iterable[Filling]) -> list[Assumption]:
    """Return assumptions, those that differ only by an index as one line with ``*``."""
    groups: dict[tuple[str, str, str], list[tuple[Path, Any]]] = {}
    for path, value, reason in found:
        starred = pointer("*" if isinstance(part, int) else part for part in path)
        groups.setdefault((starred, repr(value), reason), []).append((path, value))
    return [
        Assumption(pointer(cases[0][0]) if len(cases) == 1 else starred, cases[0][1], reason)
        for (starred, _, reason), cases in groups.items()
    ]
