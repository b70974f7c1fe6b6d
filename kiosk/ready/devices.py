"""The camera that the settings name: whether there is anything at that place."""

from __future__ import annotations

from kiosk.core.view.finding import Finding
from kiosk.settings import Settings, cameras


def device_findings(settings: Settings) -> list[Finding]:
    """Return a finding where the camera that is named is not there, or is simulated."""
    if isinstance(settings.camera, cameras.SimulatedCameraSettings):
        sentence = f"{settings.file}: camera.backend: the camera is simulated, and no sheet of it is a document."
        return [Finding("camera", "sim", "", False, sentence, "Write the camera's own backend before opening.")]
    missing = missing_camera(settings)
    return [missing] if missing is not None else []


def missing_camera(settings: Settings) -> Finding | None:
    """Return what is to be said of a camera whose file or folder is not there; None where it may be."""
    chosen = settings.camera
    if isinstance(chosen, cameras.WebcamSettings) and isinstance(chosen.device, str):
        key, place = "camera.device", settings.path(chosen.device)
    elif isinstance(chosen, cameras.FolderCameraSettings):
        key, place = "camera.folder", settings.path(chosen.folder)
    else:
        return None
    if place.exists():
        return None
    sentence = f"{settings.file}: {key}: {place} is not there."
    advice = "Connect it and switch it on, or correct the key."
    return Finding("camera", str(place), "", False, sentence, advice, stops=True)
