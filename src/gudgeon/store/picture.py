"""Copies of a photograph to be shown, made by a program of its own that can be cut short.

    python -m gudgeon.store.picture FILE SHOWN SMALL

reads an image that may be hostile, and writes two JPEG copies: turned the right way up, no larger
than they need be, without anything but their pixels, so without the place and time in the file. It
prints one line of JSON: width and height, or what is wrong.
"""

from __future__ import annotations

import json
import sys
import warnings
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    from PIL import Image

#: Most pixels of a photograph.
MOST_PIXELS: Final = 50_000_000
#: Longest side of the copies [pixels].
SHOWN: Final = 1600
SMALL: Final = 320
#: Memory [bytes] and processor time [s] that reading one may take.
MEMORY: Final = 1536 * 1024 * 1024
SECONDS: Final = 20
_FORMATS: Final = ("JPEG", "MPO", "PNG", "WEBP")


def limit() -> None:
    """Bound what this process may use, where the system can."""
    try:
        import resource
    except ImportError:
        return
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def copies(source: Path, shown: Path, small: Path) -> tuple[int, int]:
    """Write both copies; the size of the first [pixels] is returned.

    Raises:
        ValueError: the image is too large, or none that is read here; the words are for people.
    """
    from PIL import Image

    warnings.simplefilter("error", Image.DecompressionBombWarning)
    Image.MAX_IMAGE_PIXELS = MOST_PIXELS
    try:
        with Image.open(source, formats=("JPEG", "PNG", "WEBP")) as opened:
            if opened.format not in _FORMATS:
                raise ValueError("it is no JPEG, PNG or WebP")
            if opened.width * opened.height > MOST_PIXELS:
                raise ValueError("it has more than 50 million pixels")
            opened.draft("RGB", (SHOWN, SHOWN))
            whole = _bare(opened)
    except (Image.DecompressionBombWarning, Image.DecompressionBombError):
        raise ValueError("it has more than 50 million pixels") from None
    except MemoryError:
        raise ValueError("it takes more memory than a photograph needs") from None
    except ValueError:
        raise
    except Exception:  # whatever a damaged file makes a decoder raise
        raise ValueError("it can't be read: damaged, or no JPEG, PNG or WebP") from None
    whole.save(shown, "JPEG", quality=85, optimize=True, progressive=True)
    whole.thumbnail((SMALL, SMALL))
    whole.save(small, "JPEG", quality=80, optimize=True)
    with Image.open(shown) as made:
        return made.size


def _bare(opened: Image.Image) -> Image.Image:
    """The pixels alone, upright, on white where they are clear, and small enough."""
    from PIL import Image

    turn = _turn(opened)
    opened.thumbnail((SHOWN, SHOWN))
    image: Image.Image = opened if turn is None else opened.transpose(turn)
    clear = image.mode in ("RGBA", "LA", "PA") or "transparency" in image.info
    bare = Image.new("RGB", image.size, "white")
    if clear:
        solid = image.convert("RGBA")
        bare.paste(solid, mask=solid.getchannel("A"))
    elif image.mode.startswith("I"):
        bare.paste(image.point(lambda value: value / 256).convert("L"))
    else:
        bare.paste(image.convert("RGB"))
    return bare


def _turn(opened: Image.Image) -> Any:
    """How the image is to be turned, by what the camera wrote down, if that can be read."""
    from PIL import Image

    ways = Image.Transpose
    turns = {
        2: ways.FLIP_LEFT_RIGHT,
        3: ways.ROTATE_180,
        4: ways.FLIP_TOP_BOTTOM,
        5: ways.TRANSPOSE,
        6: ways.ROTATE_270,
        7: ways.TRANSVERSE,
        8: ways.ROTATE_90,
    }
    try:
        return turns.get(opened.getexif().get(0x0112, 1))
    except Exception:  # damaged notes of the camera are no reason to refuse its picture
        return None


def main(arguments: list[str]) -> int:
    """The program: 0 where both copies are written, 1 where the image can't be used."""
    limit()
    source, shown, small = (Path(item) for item in arguments)
    try:
        width, height = copies(source, shown, small)
    except ValueError as problem:
        print(json.dumps({"wrong": str(problem)}))
        return 1
    print(json.dumps({"width": width, "height": height}))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
