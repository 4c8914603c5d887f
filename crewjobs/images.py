"""Uploaded pictures, decoded and written anew: what was hidden beside the picture is gone.

Knows pictures alone; refuses to know whose they are and where they are kept.
"""

from dataclasses import dataclass
from io import BytesIO

from PIL import Image, ImageOps

FORMATS = ("JPEG", "PNG", "WEBP")
"""What is read, by content; never by name or declared type."""

MOST_PIXELS = 50_000_000
"""Phones take up to some 50 million; more may be made to fill the memory."""

LONGEST_SIDE_PX = 1600
"""Enough to judge a seam on a screen. Common practice."""

QUALITY = 85

Image.MAX_IMAGE_PIXELS = MOST_PIXELS


@dataclass(frozen=True, kw_only=True, slots=True)
class Picture:
    """A picture as it is kept: JPEG, upright, without place, time or device in it."""

    jpeg: bytes
    width_px: int
    height_px: int


def cleaned(content: bytes) -> Picture:
    """The picture in an upload, upright and not larger than needed.

    Raises
    ------
    ValueError
        If it is no whole JPEG, PNG or WebP picture, or has too many pixels.
    """
    try:
        with Image.open(BytesIO(content), formats=FORMATS) as opened:
            if opened.width * opened.height > MOST_PIXELS:
                raise ValueError(_too_many(opened.width * opened.height))
            opened.draft("RGB", (LONGEST_SIDE_PX, LONGEST_SIDE_PX))
            upright = ImageOps.exif_transpose(opened)
            upright.thumbnail((LONGEST_SIDE_PX, LONGEST_SIDE_PX))
            return _written(upright)
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as error:
        raise ValueError(f"it has more than {MOST_PIXELS} pixels") from error
    except (OSError, SyntaxError) as error:
        raise ValueError("it is no whole JPEG, PNG or WebP picture") from error


def _too_many(pixels: int) -> str:
    return f"it has {pixels} pixels, the most is {MOST_PIXELS}"


def _written(upright: Image.Image) -> Picture:
    """The picture as JPEG; what was transparent becomes white."""
    shown = upright.convert("RGBA")
    plain = Image.new("RGB", shown.size, "white")
    plain.paste(shown, mask=shown.getchannel("A"))
    written = BytesIO()
    plain.save(written, "JPEG", quality=QUALITY, optimize=True)
    return Picture(jpeg=written.getvalue(), width_px=plain.width, height_px=plain.height)
