"""Codes held up before a camera: written by others (segno, zxing-cpp), bent, turned and blurred as a hand does."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
import segno
import simplejpeg
import zxingcpp

from kiosk.devices.sim.camera import SimulatedDriver


@dataclass(frozen=True)
class Held:
    """How a code is held: its width and middle as shares of the picture's width and height."""

    width: float = 0.3
    x: float = 0.5
    y: float = 0.45
    roll_deg: float = 0.0
    lean: float = 0.0
    """How much narrower its far edge is, as a share: a paper that leans away."""
    blur_px: float = 0.0


HELD = Held()


def qr(text: str) -> np.ndarray:
    """Return a QR code (ISO/IEC 18004) with its quiet zone as grey levels, 8 px a module."""
    matrix = np.array(segno.make_qr(text, error="m").matrix, np.uint8)
    return np.kron(np.pad(1 - matrix, 4, constant_values=1) * 255, np.ones((8, 8), np.uint8)).astype(np.uint8)


def code128(text: str) -> np.ndarray:
    """Return a Code 128 (ISO/IEC 15417) with its quiet zone as grey levels."""
    code = zxingcpp.create_barcode(text, zxingcpp.BarcodeFormat.Code128)
    return np.pad(np.array(code.to_image(scale=6)), 60, constant_values=255).astype(np.uint8)


def pasted(frame: np.ndarray, code: np.ndarray, held: Held) -> np.ndarray:
    """Return a picture of shape (height, width, 3) in which somebody holds a code up."""
    height, width = frame.shape[:2]
    high, wide = code.shape
    half_x = held.width * width / 2
    half_y = half_x * high / wide
    far = 1 - held.lean
    corners = np.array([(-half_x * far, -half_y), (half_x * far, -half_y), (half_x, half_y), (-half_x, half_y)])
    turn = np.deg2rad(held.roll_deg)
    corners = corners @ np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
    corners += (held.x * width, held.y * height)
    paper = np.array([(0, 0), (wide, 0), (wide, high), (0, high)], np.float32)
    place = cv2.getPerspectiveTransform(paper, corners.astype(np.float32))
    shrunk = cv2.GaussianBlur(code, (0, 0), max(wide / (2 * half_x) / 2, 0.3))
    levels = cv2.warpPerspective(shrunk, place, (width, height), flags=cv2.INTER_LINEAR)
    covered = cv2.warpPerspective(np.full_like(code, 255), place, (width, height))
    printed = 30 + levels.astype(float) * 190 / 255
    shown = np.where(covered[..., None] > 127, printed[..., None], frame.astype(float))
    if held.blur_px:
        shown = cv2.GaussianBlur(shown, (0, 0), held.blur_px)
    noise = np.random.default_rng(7).normal(0, 3, shown.shape[:2])[..., None]
    return np.clip(shown + noise, 0, 255).astype(np.uint8)


class HoldingDriver(SimulatedDriver):
    """The simulated camera, before which somebody can hold a code up, quite still."""

    shown = b""

    def hold_up(self, code: np.ndarray | None, held: Held = HELD) -> None:
        """Hold a code up, or nothing any more."""
        self.shown = b""
        if code is not None:
            frame = simplejpeg.decode_jpeg(self.next_frame(), "RGB")
            self.shown = simplejpeg.encode_jpeg(pasted(frame, code, held), quality=85, colorspace="RGB")

    def next_frame(self) -> bytes:
        """Return what the camera sees."""
        return self.shown or super().next_frame()
