"""One connection to one camera.

A handle of libgphoto2 lives from `init` to `exit` and is never used again: a later call on it corrupts the heap and
ends the process (measured with libgphoto2 2.5.34). So every reconnect is a new `Connection`, in a new process; only
where `init` itself failed because there was no camera, the same process tries again.
"""

from __future__ import annotations

import contextlib
from collections.abc import Callable
from typing import Any, TypeVar

from kiosk.devices.camera.driver import NotThere
from kiosk.devices.camera.fault_hints import explained, meaning_of
from kiosk.devices.gphoto2.library import library
from kiosk.errors import CameraFault

T = TypeVar("T")

LOST = frozenset({-7, -10, -52, -53, -105})
"""Results after which the connection cannot be trusted: input or output failed, a stale reply left in the pipe, the
device gone, held by another program, or unknown."""

BUSY = -110
_UNSPECIFIED = -1
_BROKEN = "[-7]"
_NO_REASON = "general error"
"""The text that libgphoto2 gives with -1 where it knows no more: of a refusal, and of a cable that was pulled."""

_NETWORK_MODEL = "PTP/IP Camera"


class ConnectionLost(CameraFault):
    """The connection has broken and cannot be used again."""


class Connection:
    """An open camera; every failed call raises an error with its reason.

    Parameters
    ----------
    port
        As libgphoto2 writes it, `usb:001,004` or `ptpip:192.168.1.20`, or "" for the first camera found on the USB.
    model
        Part of the model's name that a found camera must have; "" for any.

    Raises
    ------
    NotThere
        No camera answers, or another program holds it.
    """

    def __init__(self, port: str = "", model: str = "") -> None:
        loaded = library()
        self._gp = loaded.gphoto2
        self._texts: list[str] = []
        self._context: Any = self._gp.Context()
        self._hook = self._context.set_error_func(self._note, None)
        ports = self._gp.PortInfoList()
        ports.load()
        known = port.startswith("ptpip:")
        found_model, found_port = (_NETWORK_MODEL, _whole(port)) if known else self._found(ports, port, model)
        camera = self._gp.Camera()
        try:
            camera.set_port_info(ports[ports.lookup_path(found_port)])
            camera.set_abilities(loaded.models[loaded.models.lookup_model(found_model)])
            camera.init(self._context)
        except self._gp.GPhoto2Error as error:
            silent = error.code == _UNSPECIFIED and self._is_unexplained()
            raise NotThere(**(explained(_BROKEN) if silent else self._reason(error))) from None
        self._camera: Any = camera
        self._broken: ConnectionLost | None = None
        self.model: str = self._own_name() if found_model == _NETWORK_MODEL else found_model

    @property
    def library(self) -> Any:
        """The module `gphoto2`, for its constants."""
        return self._gp

    def call(self, name: str, *arguments: object) -> Any:
        """Call a method of the camera.

        Raises
        ------
        ConnectionLost
            Now or at an earlier call.
        CameraFault
            The camera refuses, and answers otherwise.
        """
        return self._guarded(lambda camera: getattr(camera, name)(*arguments, self._context))

    def copied(self, name: str, *arguments: object) -> bytes:
        """Call a method that returns a file, and return the file's bytes.

        The library's own memory dies with its file object, hence the copy.
        """

        def copy(camera: Any) -> bytes:
            file = getattr(camera, name)(*arguments, None, self._context)
            return bytes(file.get_data_and_size())

        return self._guarded(copy)

    def close(self) -> None:
        """Release the camera; the connection cannot be used again."""
        if self._broken is None:
            self._broken = ConnectionLost(detail="it is not open")
            with contextlib.suppress(self._gp.GPhoto2Error):
                self._camera.exit(self._context)

    def _guarded(self, function: Callable[[Any], T]) -> T:
        if self._broken is not None:
            raise self._broken
        self._texts.clear()
        try:
            return function(self._camera)
        except self._gp.GPhoto2Error as error:
            reason = self._reason(error)
            if error.code == _UNSPECIFIED and self._is_unexplained() and not self._answers():
                self._broken = ConnectionLost(**explained(_BROKEN))
            elif error.code in LOST:
                self._broken = ConnectionLost(**reason)
            if self._broken is not None:
                raise self._broken from None
            raise (CameraBusy if error.code == BUSY else CameraFault)(**reason) from None

    def _own_name(self) -> str:
        """Return the camera's own name, because over a network the library detects no model."""
        maker, model = (
            str(self.call("get_single_config", part).get_value()) for part in ("manufacturer", "cameramodel")
        )
        return model if model.startswith(maker.split()[0]) else f"{maker} {model}"

    def _is_unexplained(self) -> bool:
        """Return whether the library gave no text that names a cause."""
        return all(_NO_REASON in text.lower() for text in self._texts)

    def _answers(self) -> bool:
        """Return whether the camera still answers: -1 without a cause may mean anything."""
        try:
            self._camera.get_storageinfo(self._context)
        except self._gp.GPhoto2Error as error:
            return error.code not in LOST and error.code != _UNSPECIFIED
        return True

    def _found(self, ports: Any, port: str, model: str) -> tuple[str, str]:
        for name, where in library().models.detect(ports, self._context).items():
            if port in ("", where) and model.lower() in name.lower():
                return name, where
        raise NotThere(detail=meaning_of("[-105]"))

    def _note(self, _: object, text: bytes | str, *__: object) -> None:
        self._texts.append(text.decode(errors="replace") if isinstance(text, bytes) else text)

    def _reason(self, error: Exception) -> dict[str, str]:
        return explained(" ".join((*self._texts, str(error))))


def _whole(port: str) -> str:
    """Return an address with the port of the event connection too, which libgphoto2 else takes for 15740."""
    kind, *address = port.split(":")
    return ":".join((kind, *address, address[1])) if len(address) == 2 else port


class CameraBusy(CameraFault):
    """The camera was busy; the next call may succeed."""
