"""Valid values of a rig that are hardly meant: reported beside the assumptions, not refused."""

from __future__ import annotations

from noonhold.documents.schema import Assumption, Path, pointer
from noonhold.quantities import SQUARE_FEET
from noonhold.rig import Rig

# A cube's face has the area V^(2/3); the roof of a cabin ten times as long as it is high has less
# than three of that, a face in square feet instead of square metres eleven.
_MOST_FACES = 6.0


def doubtful_areas(rig: Rig, root: Path = ()) -> tuple[Assumption, ...]:
    """Return panels and windows that are far too large for the cabin's volume.

    Parameters
    ----------
    rig : Rig
        A sound rig.
    root : tuple of str or int, optional
        Where its document stands.

    Returns
    -------
    tuple of Assumption
        One a panel or window of more than six faces of a cube of that volume.
    """
    shell = rig.shell
    face_m2 = shell.volume_m3 ** (2.0 / 3.0)
    areas = {
        "panels": [panel.area_m2 for panel in shell.panels],
        "windows": [window.area_m2 for window in shell.windows],
    }
    return tuple(
        Assumption(
            pointer((*root, "shell", kind, index, "area_m2")),
            None,  # nothing was assumed
            f"{area_m2:g} m2 are taken as given, though they are {area_m2 / face_m2:.0f} times a"
            f" face of a cube of the cabin's volume: {SQUARE_FEET}",
        )
        for kind, given in areas.items()
        for index, area_m2 in enumerate(given)
        if area_m2 > _MOST_FACES * face_m2
    )
