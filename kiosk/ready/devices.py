"""Check that the camera in the settings exists and is not simulated."""

from __future__ import annotations

from kiosk.core.view.finding import Finding
from kiosk.settings import Settings, cameras


def device_findings(settings: Settings) -> list[Finding]:
    """Return a finding if the configured camera is missing or simulated."""
    if isinstance(settings.camera, cameras.SimulatedCameraSettings):
        sentence = f"{settings.file}: camera.backend: the camera is simulated; its sheets are no valid photos."
        return [Finding("camera", "sim", "", False, sentence, "Write the camera's own backend before opening.")]
    missing = missing_camera(settings)
    return [missing] if missing is not None else []


def missing_camera(settings: Settings) -> Finding | None:
    """Return a finding if the camera's device file or folder does not exist; other backends are found by searching."""
    chosen = settings.camera
    if isinstance(chosen, cameras.WebcamSettings) and isinstance(chosen.device, str):
        key, place = "camera.device", settings.path(chosen.device)
    elif isinstance(chosen, cameras.FolderCameraSettings):
        key, place = "camera.folder", settings.path(chosen.folder)
    else:
        return None
    if place.exists():
        return None
    sentence = f"{settings.file}: {key}: {place} does not exist."
    advice = "Connect it and switch it on, or correct the key."
    return Finding("camera", str(place), "", False, sentence, advice, stops=True)
