"""What FFmpeg and the camera say to each other, and what of it ends the connection."""

from __future__ import annotations

import re

from kiosk.devices.rtsp.codecs import CODECS, Codec, described
from kiosk.devices.rtsp.wire import RtspMessage
from kiosk.errors import CameraFault

ADVICE_ADDRESS = "Correct camera.address in the settings file to what the camera's own page shows."
_ADVICE_PASSWORD = "Correct camera.user and camera.password in the settings file."
_ADVICE_CODEC = "Set the camera's own page to H.264, H.265 or JPEG for this stream."
_ADVICE_TCP = "Switch RTP over RTSP (TCP) on in the camera's own page."


class WrongPassword(CameraFault):
    """The camera wants another user or password; each further try may make it lock the user out."""


class Conversation:
    """The requests and replies of one connection.

    Parameters
    ----------
    name
        The camera's host.
    identifies
        Whether FFmpeg has a user and a password for it.

    Attributes
    ----------
    codec
        Of the video, once the camera has described it.
    channel
        On which its packets come, once the camera has agreed to send them.
    """

    def __init__(self, name: str, *, identifies: bool) -> None:
        self._name = name
        self._identifies = identifies
        self._asked: dict[str, str] = {}
        self._has_identified = False
        self.codec: Codec | None = None
        self.channel: int | None = None

    def asks(self, message: RtspMessage) -> None:
        """Note what FFmpeg asks."""
        self._asked[message.field("CSeq")] = message.start[0]
        self._has_identified |= bool(message.field("Authorization"))

    def answers(self, message: RtspMessage) -> None:
        """Note what the camera answers, or says by itself.

        Raises
        ------
        CameraFault
            The camera refuses, sends the booth elsewhere, or sends no video that can be read.
        """
        status = message.status
        if status is None:
            if message.start[0] == "REDIRECT":
                raise self._sent_away()
            return
        asked = self._asked.pop(message.field("CSeq"), "")
        if 300 <= status < 400:
            raise self._sent_away()
        if status == 401 and self._has_identified:
            raise WrongPassword(
                detail=f"the camera at {self._name} refuses the user or the password", advice=_ADVICE_PASSWORD
            )
        if status == 401 and not self._identifies:
            raise CameraFault(
                detail=f"the camera at {self._name} asks for a user and a password", advice=_ADVICE_PASSWORD
            )
        if status >= 400 and status != 401 and asked in {"DESCRIBE", "SETUP", "PLAY"}:
            raise self._refused(status)
        if status == 200 and asked == "DESCRIBE":
            self._read_description(message.body)
        if status == 200 and asked == "SETUP" and self.channel is None:
            self.channel = _channel_of(message.field("Transport"))

    def _sent_away(self) -> CameraFault:
        return CameraFault(
            detail=f"the camera at {self._name} sends the booth on to another address, which is not contacted",
            advice="Write the address of the camera itself as camera.address; if it is, look who answers there.",
        )

    def _refused(self, status: int) -> CameraFault:
        if status == 404:
            return CameraFault(detail=f"the camera at {self._name} has no stream of that path", advice=ADVICE_ADDRESS)
        if status == 461:
            return CameraFault(
                detail=f"the camera at {self._name} does not send its video over TCP",
                advice=_ADVICE_TCP,
            )
        advice = "Look into the camera's own page: it may serve only a few viewers at a time."
        return CameraFault(detail=f"the camera at {self._name} answers with status {status}", advice=advice)

    def _read_description(self, sdp: str) -> None:
        name = described(sdp)
        if name is None:
            raise CameraFault(detail=f"the camera at {self._name} sends no video", advice=ADVICE_ADDRESS)
        codec = CODECS.get(name)
        if codec is None:
            raise CameraFault(
                detail=f"the camera at {self._name} sends its video as {name}, which is not read", advice=_ADVICE_CODEC
            )
        self.codec = codec


def _channel_of(transport: str) -> int:
    found = re.search(r"interleaved=(\d{1,3})", transport)
    if found is None:
        raise CameraFault(
            detail="it does not send its video over TCP",
            advice=_ADVICE_TCP,
        )
    return int(found[1])
