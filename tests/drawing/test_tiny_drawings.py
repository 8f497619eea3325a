"""Small drawings, one for each thing a drawing program may write, against a renderer."""

import itertools

import pytest

from tests.drawing.renderer import FILLS_ONLY, compare
from tests.drawing.samples import area_px2, page, read_or_none, table

PIXELS = 500
"""Five to a unit of the page, so that edges at whole units fall between pixels."""
BLUR = 0.1
"""What edge pixels may differ by on average: the renderer has its own curves and coarser clips."""

ALIGNS = [f"x{x}Y{y}" for x in ("Min", "Mid", "Max") for y in ("Min", "Mid", "Max")]
ASPECTS = ["none", *(f"{a} {s}".strip() for a in ALIGNS for s in ("", "meet", "slice"))]
TRANSFORMS = [
    "translate(20 10)",
    "translate(20)",
    "scale(.5)",
    "scale(.5 1.5)",
    "scale(-1 1) translate(-90 0)",
    "rotate(30 50 50)",
    "rotate(-20)",
    "skewX(20)",
    "skewY(-20) translate(0 30)",
    "matrix(.8 .3 -.2 .9 10 5)",
    "translate(10,20)rotate(15)scale(.7)",
    "scale(.5)translate(50,50)skewX(25)rotate(40)",
]
SHAPES = [
    '<rect x="10" y="20" width="40" height="30"/>',
    '<rect x="10" y="20" width="40" height="30" rx="8" ry="12"/>',
    '<circle cx="40" cy="40" r="25"/>',
    '<ellipse cx="40" cy="40" rx="30" ry="12"/>',
    '<polygon points="10,10 60,20 30,70"/>',
    '<path d="M10 40A30 15 20 1 1 60 50Z"/>',
    '<path d="M10 40C20 0 60 90 70 30Q40 90 10 40"/>',
    '<path fill-rule="evenodd" d="M10 10H60V60H10ZM20 20H50V50H20Z"/>',
]


def equal_to_the_renderer(body: str, *, width: int = PIXELS, **options: object) -> None:
    """No pixel of the outline may be off by half, nor the edges as a whole."""
    style = None if options else FILLS_ONLY
    difference = compare(
        page(body), read_or_none(body, **options), width=width, style=style, finer=2
    )
    assert difference.wrong == 0
    assert difference.blur < BLUR


@pytest.mark.parametrize("body", table("tiny_drawings.txt"))
def test_a_tiny_drawing_fills_what_a_renderer_fills(body):
    equal_to_the_renderer(body)


@pytest.mark.parametrize("body", table("tiny_strokes.txt"))
def test_a_tiny_line_covers_what_a_renderer_covers(body):
    equal_to_the_renderer(body, width=2 * PIXELS, strokes="outline", outside_page="keep")


@pytest.mark.parametrize(("shape", "transform"), list(itertools.product(SHAPES, TRANSFORMS)))
def test_every_shape_is_where_a_renderer_puts_it_under_every_transform(shape, transform):
    equal_to_the_renderer(f'<g transform="{transform}">{shape}</g>')


@pytest.mark.parametrize("aspect", ASPECTS)
@pytest.mark.parametrize("box", ["0 0 60 20", "-10 5 20 60"])
def test_an_inner_viewport_fits_its_box_as_a_renderer_does(box, aspect):
    x, y, w, h = map(float, box.split())
    inner = f'<rect x="{x + w / 4}" y="{y}" width="{w / 2}" height="{h * 0.75}"/>'
    equal_to_the_renderer(
        f'<svg x="10" y="20" width="80" height="50" viewBox="{box}" '
        f'preserveAspectRatio="{aspect}">{inner}</svg>'
    )


@pytest.mark.parametrize("aspect", ASPECTS)
def test_the_page_fits_its_box_as_a_renderer_does(aspect):
    size = f'width="200" height="100" viewBox="5 0 40 40" preserveAspectRatio="{aspect}"'
    equal_to_the_renderer(page('<rect x="10" y="5" width="20" height="30"/>', size))


BY_THE_STANDARD = [
    # The renderer at hand does not follow these; the area is counted by hand from the standard.
    ('<rect style="transform:translate(30px,20px)" width="20" height="20"/>', 400, "CSS lengths"),
    ('<rect style="transform:translateX(9in)" width="20" height="20"/>', 0, "off the page"),
    ('<rect style="transform:scale(2);width:20px;height:10px"/>', 800, "CSS geometry"),
    ('<rect width="20" height="20" fill="rgb(0 0 0 / 0%)"/>', 0, "CSS Color 4"),
    ('<svg x="10" width="0" height="50"><rect width="20" height="10"/></svg>', 0, "zero viewport"),
    ('<svg width="-5" height="50"><rect width="20" height="10"/></svg>', 0, "negative viewport"),
    ('<rect width="1rem" height="1rem"/>', 256, "root font 16 px"),
    ('<rect width="10vw" height="50vh"/>', 500, "of the page"),
    ('<rect width="10ch" height="10em"/>', 80 * 160, "font 16 px, ch half of it"),
    ('<g fill="none"><rect style="fill:unset" width="20" height="20"/></g>', 0, "unset inherits"),
    ('<rect width="calc(30px)" height="20"/>', 600, "CSS sums"),
    ('<style>rect{--c:none;fill:var(--c)}</style><rect width="20" height="20"/>', 0, "variables"),
    ('<rect style="translate:95px;scale:2" width="9" height="9"/>', 324, "CSS Transforms 2"),
    ("<style>:root rect{fill:none}</style><rect width='9' height='9'/>", 0, ":root"),
    ("<style>rect:not(.a){fill:none}</style><rect width='9' height='9'/>", 0, ":not()"),
    ("<style>rect:nth-child(2){fill:none}</style><rect width='9' height='9'/>", 0, "nth-child"),
    ("<style>rect~rect{fill:none}</style><rect width='9' height='9'/>"
     "<rect width='20' height='9'/>", 81, "sibling"),
    ("<style>@media screen{rect{fill:none}}</style><rect width='9' height='9'/>", 0, "screen"),
    ("<style>rect{FILL:NONE}</style><rect width='9' height='9'/>", 0, "letter case"),
    ('<switch><rect systemLanguage="xx" width="9" height="9"/><rect systemLanguage="en-US" '
     'width="20" height="20"/></switch>', 400, "en takes en-US"),
    ('<rect requiredFeatures="any" width="20" height="20"/>', 400, "dropped in SVG 2"),
    ('<symbol id="s" transform="translate(10 0)"><rect width="20" height="10"/></symbol>'
     '<use href="#s"/>', 200, "SVG 2 allows it"),
    ('<circle fill="none" stroke="red" stroke-width="38" cx="50" cy="50" r="10"/>',
     3.141592653589793 * 29**2, "a line wider than its circle leaves no hole"),
    ('<path fill="none" stroke="red" stroke-width="8" vector-effect="non-scaling-stroke" '
     'transform="scale(2 .5)" d="M10 40H40"/>', 480, "60 px long, 8 wide"),
    ('<circle fill="none" stroke="red" stroke-width="8" stroke-dasharray="20 5" '
     'stroke-dashoffset="5" cx="50" cy="50" r="30"/>',
     8 * (15 + 6 * 20 + 60 * 3.141592653589793 - 170), "dashes by length along the circle"),
]  # fmt: skip


@pytest.mark.parametrize(("body", "area", "why"), BY_THE_STANDARD)
def test_a_tiny_drawing_fills_what_the_standard_says(body, area, why):
    options = {"strokes": "outline"} if "stroke" in body else {}
    size = area_px2(page(body, 'width="400" height="200"'), **options)
    # Percentages and vw are of this page, 400 x 200; lengths in the table are for 100 x 100.
    scaled = {"of the page": 40 * 100}.get(why, area)
    assert size == pytest.approx(scaled, rel=1e-3, abs=1e-6)  # curves within 2 micrometres
