"""How a picture is made and kept; the only file that knows Matplotlib.

Level is shown by size and number, or by one hue with its number beside it, and colour never says how severe
anything is; lines differ by dash as well as by colour, so that a page
printed in grey says the same.  The same result gives the same bytes.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from matplotlib.axes import Axes as Axes
    from matplotlib.figure import Figure as Figure

INK, HUE, SECOND, PALE, GHOST, SHADE = "#22303a", "#17616f", "#a4511c", "#c9d8dc", "#9aa7ad", "#eef1f2"
STYLE = {
    "font.family": ["DejaVu Sans", "sans-serif"],
    "font.size": 9.5,
    "axes.titlesize": 10,
    "axes.edgecolor": INK,
    "axes.labelcolor": INK,
    "axes.linewidth": 0.8,
    "text.color": INK,
    "xtick.color": INK,
    "ytick.color": INK,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "svg.fonttype": "none",
    "svg.hashsalt": "counterbounce",
    "hatch.linewidth": 0.6,
    "legend.frameon": False,
}
DOTS_DPI = 100
HATCH = "///"


@contextmanager
def canvas(width: float, height: float) -> Iterator[Figure]:
    """A figure of our own look.

    width, height  [in]
    """
    import matplotlib
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure as New

    with matplotlib.rc_context(STYLE):  # type: ignore[arg-type]
        figure = New(figsize=(width, height))
        FigureCanvasAgg(figure)
        yield figure


def font_folder() -> str:
    """Where Matplotlib keeps the fonts that it brings along."""
    import matplotlib

    return f"{matplotlib.get_data_path()}/fonts/ttf"


def svg(figure: Figure) -> str:
    """A figure as SVG text, without date or program: the same bytes for the same figure."""
    import matplotlib

    to = io.StringIO()
    with matplotlib.rc_context(STYLE):  # type: ignore[arg-type]
        nothing = dict.fromkeys(("Date", "Creator", "Format", "Type"))
        figure.savefig(to, format="svg", metadata=nothing)
    return to.getvalue()


def png(figure: Figure) -> bytes:
    """A figure as PNG, without date or program."""
    import matplotlib

    to = io.BytesIO()
    with matplotlib.rc_context(STYLE):  # type: ignore[arg-type]
        figure.savefig(to, format="png", dpi=DOTS_DPI, metadata={"Software": None})
    return to.getvalue()


def inline(text: str, name: str, title: str) -> str:
    """An SVG file's text as an element of a page: ids of its own, and words for who cannot see it.

    >>> inline('<?xml ?><svg width="1"><g id="a"/><use xlink:href="#a"/></svg>', "map", "A map")
    '<svg role="img" aria-label="A map" width="1"><g id="map-a"/><use xlink:href="#map-a"/></svg>'
    """
    body = re.sub(r"<metadata>.*?</metadata>", "", text[text.index("<svg") :].strip(), flags=re.S)
    body = re.sub(r'\bid="', f'id="{name}-', body)
    body = re.sub(r'(href="#|url\(#)', rf"\1{name}-", body)
    return body.replace("<svg", f'<svg role="img" aria-label="{title}"', 1)


def plate() -> dict[str, Any]:
    """A pale plate behind letters: lines below them do not disturb, and letters stay letters in the SVG."""
    return {"facecolor": "white", "alpha": 0.8, "linewidth": 0, "pad": 0.5}


def one_hue() -> Any:
    """A scale of one hue for levels, from white to dark; pale grey where nothing was measured."""
    from matplotlib.colors import LinearSegmentedColormap

    return LinearSegmentedColormap.from_list("one hue", ["#ffffff", "#8fb4bc", HUE, "#0a2329"]).with_extremes(
        bad="#e6e6e3"
    )


def key_to(label: str, **look: Any) -> Any:
    """One entry of a key: a mark or a dash, and what it means."""
    from matplotlib.lines import Line2D

    return Line2D([], [], label=label, **look)


def shade(axes: Axes, low: float, high: float, word: str, above: bool = False) -> None:
    """A band of speeds, hatched so that it is seen in grey.

    low, high  [the user's unit of speed]
    above      whether its word stands above the picture or in it
    """
    axes.axvspan(low, high, facecolor=SHADE, edgecolor=GHOST, hatch=HATCH, linewidth=0, zorder=0)
    if word:
        axes.annotate(
            word, ((low + high) / 2, 1), xycoords=("data", "axes fraction"), xytext=(0, 3 if above else -3),
            textcoords="offset points", ha="center", va="bottom" if above else "top", zorder=8,
            bbox=None if above else plate(), annotation_clip=False,
        )  # fmt: skip
