"""Small pictures for the tests, made here; the HEIC one was made with pillow-heif."""

from __future__ import annotations

import base64
import io
import struct
import zlib

from PIL import Image, ImageDraw

HEIC = base64.b64decode(
    """
AAAAHGZ0eXBoZWljAAAAAG1pZjFoZWljbWlhZgAAAX1tZXRhAAAAAAAAACFoZGxyAAAAAAAAAABwaWN0AAAAAAAAAAAAAAAA
AAAAACJpbG9jAAAAAERAAAEAAQAAAAABoQABAAAAAAAAAGQAAAAjaWluZgAAAAAAAQAAABVpbmZlAgAAAAABAABodmMxAAAA
AA5waXRtAAAAAAABAAAA/WlwcnAAAADdaXBjbwAAAHZodmNDAQNwAAAAkAAAAAAAHvAA/P34+AAADwNgAAEAGEABDAH//wNw
AAADAJAAAAMAAAMAHroCQGEAAQAqQgEBA3AAAAMAkAAAAwAAAwAeoCCBBZbq5Ka5uAhoMCAAAAMDIAAAAwAhYgABAAZEAcFz
wIkAAAATY29scm5jbHgAAQANAAaAAAAAFGlzcGUAAAAAAAAAQAAAAEAAAAAoY2xhcAAAADAAAAABAAAAIAAAAAH////wAAAA
Av///+AAAAACAAAAEHBpeGkAAAAAAwgICAAAABhpcG1hAAAAAAAAAAEAAQWBAgMFhAAAAGxtZGF0AAAAYCgBr1gkJjccvQVP
0RIxzERUfhbc9Ntsqf6E3lchZGGIZXFKikr4Dw+hfW1Y5vHKj+AVJ+Ipt3KrIEjk8J8hLVaAuubmJ/liH27I3Ya+xcuitcr3
/bUNaPpAxXLitilU0A==
"""
)


def drawn(width: int = 48, height: int = 32, shade: int = 60) -> Image.Image:
    image = Image.new("RGB", (width, height), (180, shade, 40))
    ImageDraw.Draw(image).rectangle((4, 4, width // 2, height // 2), fill=(20, 90, 160))
    return image


def saved(kind: str, image: Image.Image | None = None, **how: object) -> bytes:
    out = io.BytesIO()
    (image or drawn()).save(out, kind, **how)
    return out.getvalue()


def with_metadata() -> bytes:
    """A JPEG that tells the place, the camera and the owner, and is stored on its side."""
    exif = Image.Exif()
    exif[0x010F] = "Invented Cameras"
    exif[0x8298] = "Owner Of The Camera"
    exif[0x0112] = 6
    gps = exif.get_ifd(0x8825)
    gps[1], gps[2] = "N", (61.0, 30.0, 0.0)
    gps[3], gps[4] = "E", (24.0, 15.0, 0.0)
    return saved("JPEG", exif=exif, comment=b"a comment by the camera")


def png_header(width: int, height: int) -> bytes:
    """A PNG that promises so many pixels and holds none."""
    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    parts = [(b"IHDR", head), (b"IDAT", zlib.compress(b"\0")), (b"IEND", b"")]
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))
        for name, data in parts
    )
