"""Errors of photos that cannot be used."""

from __future__ import annotations

from kiosk.errors.base import BadInput


class UnreadablePhoto(BadInput):
    """The file is not a picture, or is damaged."""

    key = "unreadable_photo"
    exit_code = 3
    sentence = "{path} cannot be read as a photo: {detail}."
    next_step = "Give a complete JPEG, HEIC, PNG or TIFF as the camera wrote it."


class NoPhotoFile(UnreadablePhoto):
    """There is no picture file of that name that this user may read."""

    key = "no_photo_file"
    exit_code = 3
    sentence = "{path} cannot be read: {detail}."
    next_step = "Check the name; it must be a picture file that you may read."


class PhotoSizeRefused(BadInput):
    """The picture is too small to measure or too large to open safely."""

    key = "photo_size_refused"
    exit_code = 3
    sentence = "{path} has {width_px} x {height_px} pixels; {limit}."
    next_step = "Give the photo at the camera's own size."


class NoFace(BadInput):
    """No face was found."""

    key = "no_face"
    exit_code = 4
    sentence = "No face was found in {path}."
    next_step = "Give an upright photo of one person facing the camera, head and shoulders."


class SeveralFaces(BadInput):
    """More than one face was found."""

    key = "several_faces"
    exit_code = 5
    sentence = "{count} faces were found in {path}; an identity photo shows one person."
    next_step = "Take the photo again with one person in view."


class PhotoDoesNotFit(BadInput):
    """The document's frame reaches outside the picture."""

    key = "photo_does_not_fit"
    exit_code = 10
    sentence = "The frame of {document} reaches outside {path}: {detail}."
    next_step = "Take the photo again with more room around the head."


class TooFewPixels(BadInput):
    """The crop has fewer pixels than the print needs; nothing is enlarged."""

    key = "too_few_pixels"
    exit_code = 10
    sentence = "{path} gives {found_dpi:.0f} pixels per inch at print size; {document} needs {needed_dpi:.0f}."
    next_step = "Take the photo with more pixels, or stand nearer to the camera."


class UploadNotMade(BadInput):
    """No size and quality of the photo meets the limits of a file to upload."""

    key = "upload_not_made"
    exit_code = 10
    sentence = "No file for {document} can be made of {path}: {detail}."
    next_step = "Take the photo again: with more light if it is grainy, with more pixels if it is too plain."
