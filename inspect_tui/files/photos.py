"""Photos in a store: looked at before they are taken, kept once by the hash of their content.

A picture comes from anywhere, so nothing of it is believed: its kind is what its bytes say, its
size in pixels is read from its header before anything is decoded, and it is decoded once, in
bounded memory, to see that it is whole. Pillow and pi-heif do that; both are imported late.
"""

from __future__ import annotations

import hashlib
import io
import os
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from inspect_tui.core.model.photo import Thumbnail, hash_of
from inspect_tui.errors import BadInput, NotSaved
from inspect_tui.files.disk import bytes_of, is_file, is_plain_file, make_folder, reason_in_words
from inspect_tui.files.new_file import NewFile, closed, free_name, sweep

if TYPE_CHECKING:
    from PIL.Image import Image

LARGEST = 60_000_000
"""Bytes of a file; the largest that phones write have half of it."""
MAX_PIXELS = {"jpg": 64_000_000, "heic": 64_000_000, "png": 32_000_000, "webp": 20_000_000}
"""Pixels by kind: a camera's kinds reach what cameras give; the others take more memory."""
MAX_SCANS = 100
"""Times that a JPEG's pixels are gone over; cameras and programs make ten of them at most."""
_PIL_FORMATS = {"jpg": "JPEG", "png": "PNG", "webp": "WEBP", "heic": "HEIF"}
_HEIC_BRANDS = {b"heic", b"heix", b"heim", b"heis", b"hevc", b"mif1", b"msf1"}
_GPS = 0x8825
_SCAN = b"\xff\xda"
"""Begins a scan; within one it can't occur."""
_ORIENTATION = 0x0112
_COPY_SIDE = 1280


@dataclass(frozen=True, slots=True)
class Picture:
    """A file that was looked at and is a whole picture."""

    data: bytes
    hash: str
    kind: str
    """`jpg`, `png`, `webp` or `heic`."""
    width: int
    height: int
    tells_place: bool
    """Whether it holds the place where it was taken."""

    @property
    def file_name(self) -> str:
        """What it is called in the store."""
        return f"{self.hash}.{self.kind}"


def look_at(path: Path) -> Picture:
    """Read a picture's file.

    Raises:
        BadInput: there is none, it is no picture of a known kind, too large, or damaged.
    """
    return checked(bytes_of(path, "picture", LARGEST + 1), path.name)


def checked(data: bytes, name: str) -> Picture:
    """The same for bytes; `name` is for the error's sentence.

    Raises:
        BadInput: it is no picture of a known kind, too large, or damaged.
    """
    kind = _kind(data)
    if not kind:
        raise BadInput(
            f"{name!a} is no picture, whatever it is called.", "JPEG, PNG, WebP and HEIC are taken."
        )
    if len(data) > LARGEST:
        raise BadInput(
            f"{name!a} is larger than {LARGEST // 1_000_000} MB.", "Take it at a smaller size."
        )
    if kind == "jpg" and data.count(_SCAN) > MAX_SCANS:
        # A small file that says its last scan over and over would keep the decoder busy for hours.
        raise BadInput(f"{name!a} goes over its pixels more than {MAX_SCANS} times: no camera's.")
    with _opened(data, kind, name) as image:
        width, height = image.size
        tells_place = _decoded(image, name)
    return Picture(data, hashlib.sha256(data).hexdigest(), kind, width, height, tells_place)


def _kind(data: bytes) -> str:
    if data.startswith(b"\xff\xd8\xff"):
        return "jpg"
    if data.startswith(b"\x89PNG\r\n\x1a\n"):
        return "png"
    if data.startswith(b"RIFF") and data[8:12] == b"WEBP":
        return "webp"
    return "heic" if data[4:8] == b"ftyp" and data[8:12] in _HEIC_BRANDS else ""


def _opened(data: bytes, kind: str, name: str) -> Image:
    """The picture by its header, nothing decoded yet; not too many pixels."""
    from PIL import Image

    if kind == "heic":
        import pi_heif

        pi_heif.register_heif_opener()
    try:
        with warnings.catch_warnings():
            # Pillow's own bound is looser than the one below, which says more; what else it warns
            # of would be printed over the screen.
            warnings.simplefilter("ignore")
            image = Image.open(io.BytesIO(data), formats=(_PIL_FORMATS[kind],))
    except Image.DecompressionBombError:
        raise _too_many(name, kind) from None
    except Exception as error:  # a decoder of foreign bytes may raise anything
        raise _damaged(name) from error
    width, height = image.size
    if width * height > MAX_PIXELS[kind]:
        image.close()
        raise _too_many(name, kind)
    return image


def _decoded(image: Image, name: str) -> bool:
    """Decode it, to see that it is whole; whether it tells where it was taken."""
    with _decoding(name):
        # Of a JPEG an eighth of each side: every byte is gone through, in a 64th of the memory.
        image.draft("RGB", (1, 1))
        image.load()
        return bool(image.getexif().get_ifd(_GPS))


@contextmanager
def _decoding(name: str) -> Iterator[None]:
    """Whatever a decoder of foreign bytes raises is a damaged picture; its warnings are kept in."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            yield
    except Exception as error:
        raise _damaged(name) from error


def _too_many(name: str, kind: str) -> BadInput:
    most = MAX_PIXELS[kind] // 1_000_000
    return BadInput(f"{name!a} has more than {most} megapixels.", "Take it at a smaller size.")


def _damaged(name: str) -> BadInput:
    return BadInput(f"{name!a} is cut short or damaged.", "Copy it from the camera again.")


def keep(folder: Path, picture: Picture) -> Path:
    """Put a picture into the store's folder, once; the file, whole and flushed.

    A file of that name whose content is another one was damaged: it is set aside, not lost.

    Raises:
        NotSaved: the disk did not take it.
    """
    path = folder / picture.file_name
    try:
        make_folder(folder)
        sweep(folder)
        if is_plain_file(path) and fault(folder, picture.file_name) == "":
            return path
        with closed(NewFile(path)) as file:
            file.write(picture.data)
            if os.path.lexists(path):
                path.rename(free_name(path.with_name(path.name + ".damaged")))
            file.put(replace=True)
    except OSError as error:
        raise NotSaved(f"The picture was not saved in {folder}: {reason_in_words(error)}.") from (
            error
        )
    return path


def fault(folder: Path, photo: str) -> str:
    """Why a photo of the store isn't what its name says, as the end of a sentence; else ""."""
    path = folder / photo
    if not hash_of(photo) or not is_file(path):
        return "is missing"
    try:
        with path.open("rb") as file:
            found = hashlib.file_digest(file, "sha256").hexdigest()
    except OSError as error:
        return f"can't be read ({reason_in_words(error)})"
    return "" if found == hash_of(photo) else "was changed"


def content(folder: Path, photo: str) -> bytes:
    """The bytes of a photo of the store, which are what its name says.

    Raises:
        BadInput: it is missing, or was changed.
    """
    if not hash_of(photo):
        raise BadInput(f"{photo!a} can't be a photo's name.")
    data = bytes_of(folder / photo, "photo", LARGEST + 1)
    if hashlib.sha256(data).hexdigest() != hash_of(photo):
        raise BadInput(f"The photo {photo} was changed after it was taken into the store.")
    return data


def thumbnail(folder: Path, photo: str, width: int, height: int) -> Thumbnail:
    """A photo made to fit so many pixels, turned as it was held.

    Raises:
        BadInput: it is missing, changed, or can't be shown.
    """
    image = _upright(content(folder, photo), photo, max(width, height))
    image.thumbnail((width, height))
    return Thumbnail(image.width, image.height, image.tobytes())


def copy_for_export(folder: Path, photo: str, with_metadata: bool = False) -> bytes:
    """A smaller JPEG of a photo, for an export: the picture alone.

    Args:
        folder: The store's photos.
        photo: Its file name there.
        with_metadata: Keep what the camera wrote (place, camera, time, owner).

    Raises:
        BadInput: it is missing, changed, or can't be shown.
    """
    data = content(folder, photo)
    image = _upright(data, photo, _COPY_SIDE)
    image.thumbnail((_COPY_SIDE, _COPY_SIDE))
    exif = _metadata(data, photo) if with_metadata else b""
    out = io.BytesIO()
    image.save(out, "JPEG", quality=80, exif=exif)
    return out.getvalue()


def _metadata(data: bytes, photo: str) -> bytes:
    with _opened(data, _kind(data), photo) as image, _decoding(photo):
        exif = image.getexif()
        exif.pop(_ORIENTATION, None)  # the copy is upright already
        return exif.tobytes()


def _upright(data: bytes, photo: str, side: int) -> Image:
    """The picture alone, upright, in RGB: made anew of its pixels, so that nothing else stays."""
    from PIL import Image, ImageOps

    with _opened(data, _kind(data) or "jpg", photo) as image, _decoding(photo):
        image.draft("RGB", (side, side))
        turned = ImageOps.exif_transpose(image)
        if turned.mode.startswith("I"):  # 16 bits a pixel, which can't be made smaller as they are
            turned = turned.convert("I").point(lambda value: value * (1 / 256)).convert("L")
        turned.thumbnail((2 * side, 2 * side))
        if turned.mode in ("RGBA", "LA", "PA") or "transparency" in turned.info:
            turned = turned.convert("RGBA")
            paper = Image.new("RGBA", turned.size, "white")
            paper.alpha_composite(turned)
            turned = paper
        plain = turned.convert("RGB")
    return Image.frombytes("RGB", plain.size, plain.tobytes())
