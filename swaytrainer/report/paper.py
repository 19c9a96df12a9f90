"""A page of HTML to PDF, with fonts of our own and nothing fetched from the network."""

from __future__ import annotations

import logging
from pathlib import Path
from typing import Any, Final

from swaytrainer.errors import SwaytrainerError
from swaytrainer.words import Name, say

_OR_HTML: Final = say("Or write an .html file instead and print that from a browser.")
#: The faces that come with Matplotlib: the same on every machine, fonts installed or not.
_FACES: Final = (
    ("DejaVuSans.ttf", "normal", "normal"),
    ("DejaVuSans-Bold.ttf", "bold", "normal"),
    ("DejaVuSans-Oblique.ttf", "normal", "italic"),
)


def as_pdf(html: str) -> bytes:
    """The PDF of a page that ``pages`` made.

    Raises:
        SwaytrainerError: WeasyPrint, or a library of the system that it needs, is missing.
    """
    weasyprint = _weasyprint()
    from weasyprint.text.fonts import FontConfiguration

    # What is not in the page itself, or a font of ours, is never fetched.
    fetcher = weasyprint.URLFetcher(allowed_protocols=("data", "file"))
    fonts = FontConfiguration()
    faces = weasyprint.CSS(string=_font_faces(), font_config=fonts, url_fetcher=fetcher)
    logging.getLogger("weasyprint").setLevel(logging.ERROR)
    page = weasyprint.HTML(
        string=html, url_fetcher=weasyprint.URLFetcher(allowed_protocols=("data",))
    )
    made = page.write_pdf(stylesheets=[faces], font_config=fonts)
    assert isinstance(made, bytes)
    return made


def _weasyprint() -> Any:
    try:
        import weasyprint
    except ImportError:
        raise SwaytrainerError(
            say("To make a PDF, WeasyPrint is needed, which is not installed."),
            say('Install it: pip install "swaytrainer[report]". {or_html}', or_html=_OR_HTML),
        ) from None
    except OSError as error:  # its own bindings look for the libraries when they are imported
        raise SwaytrainerError(
            say(
                "To make a PDF, a library of the system is missing: {why}.",
                why=Name(str(error).splitlines()[0][:120]),
            ),
            say(
                "On Debian: apt install libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0."
                " {or_html}",
                or_html=_OR_HTML,
            ),
        ) from None
    return weasyprint


def _font_faces() -> str:
    try:
        import matplotlib
    except ImportError:
        return ""  # then the system's own fonts serve
    folder = Path(matplotlib.get_data_path()) / "fonts" / "ttf"
    return "".join(
        f'@font-face {{font-family: "DejaVu Sans"; font-weight: {weight}; font-style: {style};'
        f' src: url("{(folder / name).as_uri()}")}}\n'
        for name, weight, style in _FACES
    )
