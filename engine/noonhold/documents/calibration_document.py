"""The request for a calibration: a rig and its field log; and the answer as a document."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from noonhold.documents.field_log_document import LogSchema, with_csv_read
from noonhold.documents.fields import Choice, Flag, Items, Number, Part
from noonhold.documents.rig_document import dump_rig
from noonhold.documents.scenario_document import OperationSchema, PlaceSchema
from noonhold.documents.scenario_loader import RigReference, RigResolver, load_parts
from noonhold.documents.schema import Assumption, DocumentSchema, Loaded, Problems
from noonhold.documents.short_rig_document import expand_rig
from noonhold.documents.study_numbers import StudyNumber
from noonhold.errors import NoonholdError, prefix_pointers
from noonhold.quantities import Quantity
from noonhold.scenario import Operation, Place
from noonhold.studies.calibration.calibration_report import calibration_report, prediction_report
from noonhold.studies.calibration.calibration_study import Calibration, FitOptions
from noonhold.studies.calibration.factors import FACTORS
from noonhold.studies.calibration.field_log import FieldLog
from noonhold.studies.calibration.log_findings import LogFault
from noonhold.studies.calibration.log_prediction import LogPrediction, predict_log
from noonhold.studies.calibration.log_runs import LogSetup
from noonhold.studies.calibration.log_weather import Background

# Faults that leave nothing to fit are not for the sender to accept.
_ACCEPTABLE = (LogFault.CLOCK_SHIFT, LogFault.STUCK_SENSOR, LogFault.UNIT_MIX_UP)
_WIDTH = Quantity("prior_width", "1", "Standard deviation of a factor's logarithm.", 0.01, 1)
_HELD_OUT = Quantity("held_out_fraction", "1", "Last part, predicted and not fitted.", 0, 0.8)
_SETTLING = Quantity("settling_h", "h", "First hours, run and not compared.", 0, 48)


@dataclass(frozen=True)
class SecondLog:
    """A log that is predicted, and what differs from the first one's circumstances."""

    log: FieldLog
    place: Place | None = None
    operation: Operation | None = None
    weather: Background | None = None
    state_of_charge: float | None = None
    accepted: tuple[str, ...] = ()


@dataclass(frozen=True)
class CalibrationRequest:
    """Everything that a calibration needs.

    Parameters
    ----------
    setup : LogSetup
        The rig and its circumstances.
    log : FieldLog
        What was written down.
    rig_document : Mapping or None
        The rig as it came; ``None`` where it came by its identifier.
    second : SecondLog or None
        To be predicted with what the log teaches.
    """

    setup: LogSetup
    log: FieldLog
    options: FitOptions
    rig_document: Mapping[str, Any] | None
    second: SecondLog | None = None


class BackgroundSchema(DocumentSchema):
    """The weather that the log does not hold."""

    target = Background

    dew_point_c = Number("dew_point_c", description="Needed without logged relative_humidity.")
    wind_speed_m_s = Number("wind_speed_m_s", default=2.0, reason="a light wind")


class WidthsSchema(DocumentSchema):
    """How unsure each factor is before the log is seen."""

    shell_conductance = StudyNumber(_WIDTH)
    solar_gain = StudyNumber(_WIDTH)
    contents_capacity = StudyNumber(_WIDTH)
    contents_coupling = StudyNumber(_WIDTH)
    leakage = StudyNumber(_WIDTH)
    cooler_capacity = StudyNumber(_WIDTH)
    cooler_power = StudyNumber(_WIDTH)
    array_power = StudyNumber(_WIDTH)


class FitSchema(DocumentSchema):
    """How the log is fitted."""

    factors = Items(
        Choice([kind.name for kind in FACTORS], "A factor."),
        "Factors to look for.",
        most=len(FACTORS),
        reason="every factor that the rig has something for",
    )
    prior_widths = Part(WidthsSchema, "Where they differ from the usual ones.")
    held_out_fraction = StudyNumber(_HELD_OUT, default=0.25, reason="the last quarter is held out")
    settling_h = StudyNumber(
        _SETTLING, default=1.0, reason="walls and contents find their temperatures in it"
    )
    accepted = Items(
        Choice([str(kind) for kind in _ACCEPTABLE], "A fault by its name."),
        "Faults of the log that are known and accepted.",
        most=len(_ACCEPTABLE),
    )

    def build(self, data: dict[str, Any]) -> FitOptions:
        """Make the options."""
        lists = {name: tuple(data.get(name, ())) for name in ("factors", "accepted")}
        return FitOptions(
            prior_widths=data.get("prior_widths") or {},
            held_out_fraction=data["held_out_fraction"],
            settling_h=data["settling_h"],
            **lists,
        )


class PredictionSchema(DocumentSchema):
    """A second log of the same rig, to be predicted with what the first one teaches."""

    target = SecondLog

    log = Part(
        LogSchema, "The second log; its readings stand beside the prediction.", required=True
    )
    place = Part(PlaceSchema, "Where it stood, if not as before.")
    operation = Part(OperationSchema, "What was done every day, if not as before.")
    weather = Part(BackgroundSchema, "Weather that was not logged, if not as before.")
    state_of_charge = Number("state_of_charge", description="At the start, where none was logged.")
    accepted = Items(
        Choice([str(kind) for kind in _ACCEPTABLE], "A fault by its name."),
        "Faults of the second log that are known and accepted.",
        most=len(_ACCEPTABLE),
    )


class CalibrationSchema(DocumentSchema):
    """A request for a calibration."""

    rig = RigReference("The rig, or the identifier of a sample rig.", required=True)
    place = Part(PlaceSchema, "Where it stood.", required=True)
    operation = Part(OperationSchema, "What was done every day, but for the events.", required=True)
    log = Part(LogSchema, "The field log.", required=True)
    weather = Part(BackgroundSchema, "Weather that was not logged.", fill=True)
    state_of_charge = Number("state_of_charge", description="At the start, where none was logged.")
    heater_from_battery = Flag(
        "Whether a logged heater drew from the battery, beside the loads.",
        default=False,
        reason="a heater of a test is fed from outside",
    )
    fit = Part(FitSchema, "How to fit.", fill=True)
    prediction = Part(PredictionSchema, "A second log to predict.")

    def rules(self, data: dict[str, Any], given: Mapping[str, Any], problems: Problems) -> None:
        """Require what the log lacks."""
        columns = (data.get("log") or {}).get("columns") or {}
        if not columns:
            return
        if "relative_humidity" not in columns and "dew_point_c" not in (data.get("weather") or {}):
            message = "required field is missing; or log relative_humidity"
            problems.add(("weather", "dew_point_c"), message)
        if "state_of_charge" not in columns and "state_of_charge" not in data:
            problems.add("state_of_charge", "required where the log holds none")
        if "state_of_charge" in columns and "state_of_charge" in data:
            problems.add("state_of_charge", "mutually exclusive with a log that has it")


def load_calibration(
    document: object, resolver: RigResolver | None = None
) -> Loaded[CalibrationRequest]:
    """Read a request for a calibration.

    Parameters
    ----------
    document : object
        As the JSON parser returned it.
    resolver : callable, optional
        See :func:`noonhold.documents.projection_document.load_projection`.

    Raises
    ------
    DocumentError
        With every fault of the document. What is wrong with the log's numbers is found by
        :func:`noonhold.studies.calibration.calibration_study.calibrate`.
    """
    document, notes = _with_csv_read(document)
    parts = load_parts(_SCHEMA, document, resolver)
    setup = LogSetup(
        rig=parts.rig,
        place=parts.built["place"],
        operation=parts.built["operation"],
        background=parts.built["weather"],
        state_of_charge=parts.data.get("state_of_charge", 1.0),
        heater_from_battery=parts.data["heater_from_battery"],
    )
    rig_document = (
        expand_rig(document["rig"])[0]
        if parts.rig_given and isinstance(document, Mapping)
        else None
    )
    log = replace(parts.built["log"], notes=notes)
    second = parts.built.get("prediction")
    request = CalibrationRequest(setup, log, parts.built["fit"], rig_document, second)
    return Loaded(request, parts.assumptions)


def _with_csv_read(document: object) -> tuple[object, tuple[str, ...]]:
    """Return a request with the CSV texts of its logs read, and notes about the first."""
    if not isinstance(document, Mapping):
        return document, ()
    log, notes = with_csv_read(document.get("log"), "/log")
    read = {**document, "log": log} if "log" in document else dict(document)
    second = document.get("prediction")
    if isinstance(second, Mapping) and "log" in second:
        log, more = with_csv_read(second["log"], "/prediction/log")
        read["prediction"] = {**second, "log": log}
        notes += tuple(f"second log: {note}" for note in more)
    return read, notes


def predict_second(found: Calibration, asked: CalibrationRequest) -> LogPrediction | None:
    """Return the prediction of a request's second log, ``None`` where there is none.

    Parameters
    ----------
    found : Calibration
        Of the request's first log.

    Raises
    ------
    DocumentError
        With what stands against the second log, at its place in the request.
    """
    second = asked.second
    if second is None:
        return None
    first = asked.setup
    charge = first.state_of_charge if second.state_of_charge is None else second.state_of_charge
    setup = replace(
        first,
        place=second.place or first.place,
        operation=second.operation or first.operation,
        background=second.weather or first.background,
        state_of_charge=charge,
    )
    try:
        return predict_log(found, setup, second.log, asked.options.settling_h, second.accepted)
    except NoonholdError as error:
        faults = prefix_pointers(error.faults, "/prediction")
        raise type(error)(faults, error.omitted) from None


def patch_between(before: Mapping[str, Any], after: Mapping[str, Any]) -> dict[str, Any]:
    """Return the merge patch (RFC 7396) that makes one document into another.

    Parameters
    ----------
    before, after : mapping
        JSON objects without nulls.

    Returns
    -------
    dict
        A list that changed stands whole, as a merge patch cannot change one of its items.

    Examples
    --------
    >>> patch_between({"a": {"b": 1, "c": [1]}, "d": 2}, {"a": {"b": 1, "c": [3]}})
    {'d': None, 'a': {'c': [3]}}
    """
    patch: dict[str, Any] = {name: None for name in before if name not in after}
    for name, value in after.items():
        old = before.get(name)
        if isinstance(value, Mapping) and isinstance(old, Mapping):
            inner = patch_between(old, value)
            if inner:
                patch[name] = inner
        elif name not in before or old != value:
            patch[name] = value
    return patch


def rig_patch(calibration: Calibration, given: Mapping[str, Any] | None = None) -> dict[str, Any]:
    """Return what to change in a rig's document from then on.

    Parameters
    ----------
    calibration : Calibration
        With the rig as it was described and as it was found.
    given : mapping, optional
        The rig's document as it came.

    Returns
    -------
    dict
        A merge patch for that document, or for the rig as :func:`dump_rig` writes it. A ``box``
        gives way to its panels.
    """
    after = dump_rig(calibration.fitted_rig)
    patch = patch_between(dump_rig(calibration.rig), after)
    shell = (given or {}).get("shell")
    if "shell" in patch and isinstance(shell, Mapping) and "box" in shell:
        patch["shell"] = {**after["shell"], "box": None}
    return patch


def dump_calibration(
    calibration: Calibration,
    assumptions: Iterable[Assumption] = (),
    given: Mapping[str, Any] | None = None,
    prediction: LogPrediction | None = None,
) -> dict[str, Any]:
    """Return the document of an answer.

    Parameters
    ----------
    calibration : Calibration
        From :func:`noonhold.studies.calibration.calibration_study.calibrate`.
    assumptions : iterable of Assumption
        What the request left out.
    given : mapping, optional
        The rig's document as it came.
    prediction : LogPrediction, optional
        Of the second log.

    Returns
    -------
    dict
        The report with ``rig_patch``, the whole ``rig`` to use from then on, and ``assumptions``.
    """
    return {
        **calibration_report(calibration),
        "prediction": None if prediction is None else prediction_report(prediction),
        "rig_patch": rig_patch(calibration, given),
        "rig": dump_rig(calibration.fitted_rig),
        "assumptions": [vars(each) for each in assumptions],
    }


_SCHEMA = CalibrationSchema()
