"""Noise, compression, motion and range of levels in pictures that were made with a known amount of each."""

from __future__ import annotations

import io

import cv2
import numpy as np
import pytest
from PIL import Image

from kiosk.vision.face import face_patch
from kiosk.vision.measures import compression, dynamic_range, motion_blur, noise
from tests.support.mean_face import FACE, HEIGHT, UNIT_PX, WIDTH


@pytest.mark.parametrize("sd", [2.0, 6.0])
def test_normal_noise_of_known_spread(sd: float) -> None:
    grain = np.random.default_rng(1).normal(0, sd, (HEIGHT, WIDTH, 1))
    picture = np.clip(np.round(128 + grain), 0, 255).astype(np.uint8).repeat(3, axis=2)
    assert noise.measure_noise(picture, FACE).value == pytest.approx(sd, rel=0.08)


def test_half_a_face_full_of_pores_is_no_noise() -> None:
    """Noise lies on every place of the skin; a beard or wrinkles leave others smooth."""
    grain = np.random.default_rng(1).normal(0, 12, (HEIGHT, WIDTH, 1))
    grain[:, : WIDTH // 2] = 0
    picture = np.clip(np.round(128 + grain), 0, 255).astype(np.uint8).repeat(3, axis=2)
    assert noise.measure_noise(picture, FACE).value < 0.3


def test_a_gradient_is_no_noise() -> None:
    picture = np.linspace(60, 200, WIDTH).astype(np.uint8)[None, :, None].repeat(HEIGHT, axis=0).repeat(3, axis=2)
    assert noise.measure_noise(picture, FACE).value < 0.3


@pytest.mark.parametrize("shift", [0, 3])
def test_jpeg_by_another_encoder(shift: int) -> None:
    """Pillow's libjpeg at quality 95 and 8 (ITU-T T.81); the grid is found wherever it begins."""
    smooth = cv2.GaussianBlur(np.random.default_rng(2).normal(0, 1, (HEIGHT, WIDTH)), (0, 0), 12)
    picture = np.clip(128 + 600 * smooth, 0, 255).astype(np.uint8)[..., None].repeat(3, axis=2)

    def saved(quality: int) -> float:
        stream = io.BytesIO()
        Image.fromarray(picture).save(stream, "JPEG", quality=quality)
        decoded = np.asarray(Image.open(stream).convert("RGB"))[shift:, shift:]
        value = compression.measure_no_compression_artifacts(np.ascontiguousarray(decoded), FACE).value
        assert value is not None
        return value

    assert saved(95) < 1.3
    assert saved(8) > 2


def dead_leaves() -> np.ndarray:
    """Return discs of random size and grey laid over each other: edges in all directions, as in natural pictures."""
    chance = np.random.default_rng(3)
    picture = np.full((HEIGHT, WIDTH), 128.0)
    for _ in range(6000):
        middle = int(chance.integers(WIDTH)), int(chance.integers(HEIGHT))
        cv2.circle(picture, middle, int(chance.integers(8, 60)), float(chance.integers(40, 216)), -1)
    return picture


@pytest.mark.parametrize("direction_deg", [0, 40, 90, 130])
def test_motion_is_told_from_defocus(direction_deg: float) -> None:
    """Edges after a box along one direction, and after a Gaussian of the same variance in all."""
    length = 25
    kernel = np.zeros((length, length))
    for step in np.linspace(-(length // 2), length // 2, 4 * length):
        x, y = (round(step * f(np.radians(direction_deg)) + length // 2) for f in (np.cos, np.sin))
        kernel[y, x] = 1

    def still(blurred: np.ndarray) -> float:
        picture = np.round(blurred).astype(np.uint8)[..., None].repeat(3, axis=2)
        value = motion_blur.measure_motion_blur(picture, FACE).value
        assert value is not None
        return value

    assert still(cv2.filter2D(dead_leaves(), -1, kernel / kernel.sum())) < 0.6
    assert still(cv2.GaussianBlur(dead_leaves(), (0, 0), length / np.sqrt(12))) > 0.85


@pytest.mark.parametrize("levels", [1, 4, 64])
def test_the_entropy_of_equally_frequent_levels(levels: int) -> None:
    """log2 of their number (Shannon 1948)."""
    codes = np.random.default_rng(4).integers(0, levels, (HEIGHT, WIDTH)) * (256 // levels)
    # One colour to a whole pixel of the reduced picture, so that reducing it mixes none.
    patch = face_patch.face_patch(codes.astype(np.uint8)[..., None].repeat(3, axis=2), FACE, UNIT_PX)
    assert dynamic_range.measure_dynamic_range(patch).value == pytest.approx(np.log2(levels), abs=0.01)
