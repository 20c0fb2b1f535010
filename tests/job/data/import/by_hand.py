"""Makes the sheets that are put right by hand in the tests, with libraries made by others. Run once:

    pip install reportlab==5.1.0 ezdxf==1.4.5 pillow==13.0.0; python by_hand.py

Nothing here is used by the tests but the files. Lengths in mm, y up; every sheet is 200 mm by 200 mm.
"""

import ezdxf
from PIL import Image, ImageDraw
from reportlab.pdfgen import canvas

MM = 72 / 25.4
DPI = 100
# Drawn so many times as large, then made small: greys along the lines, as a scanner sees them.
FINE = 8

# An apron whose left side is open by 40 mm, and three lines in it.
OPEN = [[(20, 100), (20, 20), (180, 20), (180, 180), (20, 180), (20, 140)]]
INSIDE = [[(60, 140), (140, 140)], [(60, 110), (140, 110)], [(60, 40), (60, 80)]]
# A line that runs past the corners that it should end at.
CROSSING = [[(20, 180), (180, 180), (180, 20), (20, 20)], [(20, 190), (20, 10)]]
SIZES = [[(a, a), (b, a), (b, b), (a, b), (a, a)] for a, b in [(40, 160), (30, 170), (20, 180)]]
# One size, of paper.
APRON = [SIZES[2]]
# Printed at 97 % across and 102 % up: a front and a square of 100 mm.
STRETCH = (0.97, 1.02)
FRONT = [(120, 170), (180, 170), (180, 30), (120, 30), (120, 170)]
SQUARE = [(10, 40), (110, 40), (110, 140), (10, 140), (10, 40)]
STRETCHED = [[(x * STRETCH[0], y * STRETCH[1]) for x, y in line] for line in [FRONT, SQUARE]]


def pdf(name, lines):
    page = canvas.Canvas(name, pagesize=(200 * MM, 200 * MM), pageCompression=1, invariant=1)
    page.scale(MM, MM)
    page.setLineWidth(0.4)
    for line in lines:
        path = page.beginPath()
        path.moveTo(*line[0])
        closed = line[0] == line[-1]
        for point in line[1 : -1 if closed else None]:
            path.lineTo(*point)
        if closed:
            path.close()
        page.drawPath(path)
    page.showPage()
    page.save()


def dxf(name, lines):
    """The front on the layer of outlines as ASTM D6673 has it, the square on another."""
    document = ezdxf.new("R2010")
    document.header["$INSUNITS"] = 4
    for line, layer in zip(lines, ["1", "0"]):
        closed = line[0] == line[-1]
        document.modelspace().add_lwpolyline(line[: -1 if closed else None], close=closed, dxfattribs={"layer": layer})
    document.saveas(name)


def layers(name):
    """A plain drawing in inches: a layer a size, lines and an arc, and words of two lines on another layer."""
    document = ezdxf.new("R2010")
    document.header["$INSUNITS"] = 1
    model = document.modelspace()
    for index, size in enumerate(["S", "M", "L"]):
        grown = 0.5 * index
        layer = {"layer": size}
        model.add_line((-grown, -grown), (8 + grown, -grown), dxfattribs=layer)
        model.add_line((8 + grown, -grown), (8 + grown, 8 + grown), dxfattribs=layer)
        model.add_arc((4, 8 + grown), 4 + grown, 0, 180, dxfattribs=layer)
        model.add_line((-grown, 8 + grown), (-grown, -grown), dxfattribs=layer)
    words = {"char_height": 0.3, "insert": (2, 4), "layer": "words"}
    model.add_mtext("POCKET\\PCut 2", dxfattribs=words)
    model.add_line((4, 2), (4, 7), dxfattribs={"layer": "grain"})
    # On the layer that every drawing has, and that is no size.
    model.add_line((2, 2), (6, 2))
    document.saveas(name)


def scan(name, lines):
    side = round(200 * DPI / 25.4)
    large = Image.new("L", (side * FINE, side * FINE), 245)
    pen = ImageDraw.Draw(large)
    px = FINE * DPI / 25.4
    for line in lines:
        points = [(x * px, side * FINE - y * px) for x, y in line]
        pen.line(points + points[1:2] * (line[0] == line[-1]), fill=30, width=round(0.7 * px), joint="curve")
    large.resize((side, side), Image.BOX).save(name, dpi=(DPI, DPI), optimize=True)


if __name__ == "__main__":
    pdf("apron-open.pdf", OPEN + INSIDE)
    pdf("apron-crossing.pdf", CROSSING)
    pdf("apron-sizes.pdf", SIZES)
    scan("apron-open-scan.png", OPEN + INSIDE)
    scan("apron-scan.png", APRON)
    pdf("stretched.pdf", STRETCHED)
    dxf("stretched.dxf", STRETCHED)
    layers("layers-inch.dxf")
    scan("stretched-scan.png", STRETCHED)
