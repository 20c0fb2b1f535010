"""Makes the PDF files beside it, with programs made by others. Run once:

    pip install cairocffi==1.7.1 reportlab==5.1.0 pikepdf==10.18.0; python make.py

cairocffi calls cairo 1.16.0; pikepdf calls qpdf. Two more need programs: pdflatex (pdfTeX 1.40.24 with pgf) and
mutool (MuPDF 1.21.1). Nothing here is used by the tests but the files.
"""

import io
import math
import os
import shutil
import subprocess
import tempfile
import cairocffi as cairo
import pikepdf
from pikepdf import Array, Dictionary, Name, Pdf
from reportlab.pdfgen import canvas
from coat import LOOKS, SHEET, SIZES, coat, flat
from latex import document

MM = 72 / 25.4
SHEETS = coat()


def pen_cairo(context, piece):
    first = True
    for run in piece["edges"].values():
        for segment in run:
            if first:
                context.move_to(*segment[1])
                first = False
            if segment[0] == "L":
                context.line_to(*segment[2])
            else:
                context.curve_to(*(v for p in segment[2:] for v in p))
    context.close_path()
    context.stroke()
    context.set_dash([])
    for a, b in [*piece["ticks"], piece["grain"]]:
        context.move_to(*a)
        context.line_to(*b)
        context.stroke()


def by_cairo(target, which, words=True, looks=True, square=True):
    surface = cairo.PDFSurface(target, SHEET[0] * MM, SHEET[1] * MM)
    context = cairo.Context(surface)
    context.scale(MM, -MM)
    context.translate(0, -SHEET[1])
    for index in which:
        colour, dashes = LOOKS[index] if looks else ((0, 0, 0), [])
        for piece in SHEETS[index].values():
            context.set_source_rgb(*colour)
            context.set_line_width(0.5)
            context.set_dash(dashes)
            pen_cairo(context, piece)
    if words:
        context.set_source_rgb(0, 0, 0)
        context.select_font_face("sans-serif")
        for piece in SHEETS[0].values():
            for text, (x, y), height in piece["words"]:
                context.save()
                context.translate(x, y)
                context.scale(1, -1)
                context.set_font_size(height / 0.7)
                context.move_to(0, 0)
                context.show_text(text)
                context.restore()
    if square:
        context.set_line_width(0.4)
        context.rectangle(1850, 1100, 100, 100)
        context.stroke()
        context.save()
        context.translate(1860, 1145)
        context.scale(1, -1)
        context.set_font_size(9)
        context.move_to(0, 0)
        context.show_text("Test square 10 cm")
        context.restore()
    surface.finish()


def layered():
    """A form a size, each in a layer of its own through /OC; 92 switched off; what all share in a membership."""
    pdf = Pdf.new()
    forms, groups = {}, []
    for index, size in enumerate(SIZES):
        one = io.BytesIO()
        by_cairo(one, [index], words=False, looks=False, square=False)
        source = Pdf.open(one)
        form = pdf.copy_foreign(source.pages[0].as_form_xobject())
        # A name in UTF-16 as drawing programs write it; one name with a letter beyond ASCII.
        group = pdf.make_indirect(Dictionary(Type=Name.OCG, Name=f"Größe {size}"))
        form.OC = group
        groups.append(group)
        forms[f"/S{size}"] = form
    shared = io.BytesIO()
    by_cairo(shared, [], words=True)
    source = Pdf.open(shared)
    form = pdf.copy_foreign(source.pages[0].as_form_xobject())
    form.OC = pdf.make_indirect(Dictionary(Type=Name.OCMD, OCGs=Array(groups), P=Name.AnyOn))
    forms["/Shared"] = form
    # Half the units under UserUnit 2; a page that lies on its side, with a crop box inside the media box.
    w, h = SHEET[0] * MM / 2, SHEET[1] * MM / 2
    edge = 36
    content = f"q 0 -0.5 0.5 0 {edge} {edge + w} cm " + " ".join(f"{name} Do" for name in forms) + " Q"
    page = pdf.add_blank_page(page_size=(h + 2 * edge, w + 2 * edge))
    page.CropBox = Array([edge, edge, h + edge, w + edge])
    page.Rotate = 270
    page.UserUnit = 2
    page.Resources = Dictionary(XObject=Dictionary(forms))
    page.Contents = pdf.make_stream(content.encode())
    pdf.Root.OCProperties = Dictionary(
        OCGs=Array(groups), D=Dictionary(Order=Array(groups), OFF=Array([groups[2]]), ON=Array([]))
    )
    return pdf


def save(pdf, name, **how):
    pdf.save(name, compress_streams=True, deterministic_id="encryption" not in how, **how)


def pen_reportlab(page, piece):
    path = page.beginPath()
    first = True
    for run in piece["edges"].values():
        for segment in run:
            if first:
                path.moveTo(*segment[1])
                first = False
            if segment[0] == "L":
                path.lineTo(*segment[2])
            else:
                path.curveTo(*(v for p in segment[2:] for v in p))
    path.close()
    page.drawPath(path)
    page.setDash()
    for a, b in [*piece["ticks"], piece["grain"]]:
        page.line(*a, *b)


def by_reportlab():
    """All sizes on one sheet, by colour and dash, with standard fonts and a test square printed at 94 per cent."""
    scale = 0.94
    page = canvas.Canvas("coat-reportlab.pdf", pagesize=(SHEET[0] * MM * scale, SHEET[1] * MM * scale), pageCompression=1, invariant=1)
    page.scale(MM * scale, MM * scale)
    for index, pieces in enumerate(SHEETS):
        colour, dashes = LOOKS[index]
        for piece in pieces.values():
            page.setStrokeColorRGB(*colour)
            page.setLineWidth(0.5)
            page.setDash(dashes) if dashes else page.setDash()
            pen_reportlab(page, piece)
    page.setDash()
    for name, piece in SHEETS[0].items():
        for text, at, height in piece["words"]:
            page.setFont("Helvetica", height / 0.7)
            page.drawString(*at, text)
    page.rect(1750, 900, 254, 254)
    page.setFont("Times-Roman", 14)
    page.drawString(1790, 1020, "This square is 10 in wide")
    page.showPage()
    page.save()


PAPER = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
# Two pieces of one size, moved to the corner of a sheet of their own.
TILED = {"front armhole facing": (-1590.0, -440.0), "back armhole facing": (-1640.0, -200.0), "back neck facing": (-1160.0, -1110.0)}
TILED_SHEET = (500.0, 330.0)


def tiled(name, paper, overlap, how, order):
    """Size 88 of three pieces on tiles. `how`: 'form' (one form under moves, clipped), 'cut' (lines cut at the frame)."""
    margin = 10.0
    width, height = PAPER[paper]
    inner = (width - 2 * margin, height - 2 * margin)
    step = (inner[0] - overlap, inner[1] - overlap)
    columns = math.ceil((TILED_SHEET[0] - overlap) / step[0])
    rows = math.ceil((TILED_SHEET[1] - overlap) / step[1])
    page = canvas.Canvas(name, pagesize=(width * MM, height * MM), pageCompression=1, invariant=1)
    pieces = {}
    for piece, (dx, dy) in TILED.items():
        drawn = SHEETS[1][piece]
        move = lambda p: (p[0] + dx, p[1] + dy)
        pieces[piece] = dict(
            edges={k: [(s[0], *map(move, s[1:])) for s in run] for k, run in drawn["edges"].items()},
            ticks=[tuple(map(move, t)) for t in drawn["ticks"]],
            grain=tuple(map(move, drawn["grain"])),
            words=[(t, move(at), h) for t, at, h in drawn["words"]],
        )
    if how == "form":
        page.beginForm("sheet", 0, 0, *TILED_SHEET)
        page.setLineWidth(0.5)
        for piece in pieces.values():
            pen_reportlab(page, piece)
            for text, at, h in piece["words"]:
                page.setFont("Helvetica", h / 0.7)
                page.drawString(*at, text)
        page.endForm()
    tiles = [(row, column) for row in range(rows) for column in range(columns)]
    for row, column in order(tiles):
        # The first row is the top one.
        x0, y0 = column * step[0], TILED_SHEET[1] - row * step[1] - inner[1]
        page.saveState()
        page.scale(MM, MM)
        page.setLineWidth(0.2)
        page.rect(margin, margin, *inner)
        label = f"{chr(65 + row)}{column + 1}"
        page.setFont("Helvetica", 6)
        page.drawString(margin + 4, margin + 4, label)
        # Marks at the middle of each side, to be matched.
        for mx, my in [(margin, height / 2), (width - margin, height / 2), (width / 2, margin), (width / 2, height - margin)]:
            path = page.beginPath()
            path.moveTo(mx - 3, my)
            path.lineTo(mx, my + 3)
            path.lineTo(mx + 3, my)
            path.lineTo(mx, my - 3)
            path.close()
            page.drawPath(path)
        if how == "form":
            clip = page.beginPath()
            clip.rect(margin, margin, *inner)
            page.clipPath(clip, stroke=0)
            page.translate(margin - x0, margin - y0)
            page.doForm("sheet")
        else:
            page.setLineWidth(0.5)
            window = (x0, y0, x0 + inner[0], y0 + inner[1])
            for piece in pieces.values():
                points = [p for run in piece["edges"].values() for p in flat(run, 60)]
                for line in [points, *piece["ticks"], piece["grain"]]:
                    for part in cut(line, window):
                        path = page.beginPath()
                        path.moveTo(part[0][0] - x0 + margin, part[0][1] - y0 + margin)
                        for x, y in part[1:]:
                            path.lineTo(x - x0 + margin, y - y0 + margin)
                        page.drawPath(path)
                for text, (x, y), h in piece["words"]:
                    if window[0] <= x <= window[2] - 60 and window[1] <= y <= window[3]:
                        page.setFont("Helvetica", h / 0.7)
                        page.drawString(x - x0 + margin, y - y0 + margin, text)
        page.restoreState()
        page.showPage()
    page.save()


def cut(points, window):
    """A polyline cut at a rectangle (Liang and Barsky, a segment at a time)."""
    parts, open_part = [], []
    for a, b in zip(points, points[1:]):
        t0, t1 = 0.0, 1.0
        dx, dy = b[0] - a[0], b[1] - a[1]
        out = False
        for p, q in [(-dx, a[0] - window[0]), (dx, window[2] - a[0]), (-dy, a[1] - window[1]), (dy, window[3] - a[1])]:
            if p == 0:
                out |= q < 0
            elif p < 0:
                t0 = max(t0, q / p)
            else:
                t1 = min(t1, q / p)
        if out or t0 >= t1:
            if open_part:
                parts.append(open_part)
            open_part = []
            continue
        start, end = (a[0] + t0 * dx, a[1] + t0 * dy), (a[0] + t1 * dx, a[1] + t1 * dy)
        if not open_part or t0 > 0:
            if open_part:
                parts.append(open_part)
            open_part = [start]
        open_part.append(end)
        if t1 < 1:
            parts.append(open_part)
            open_part = []
    if open_part:
        parts.append(open_part)
    return parts


def kinds():
    """Lines of every kind, for a comparison with another program's picture: a page on its side, cropped, clipped."""
    page = canvas.Canvas("kinds.pdf", pagesize=(200 * MM, 160 * MM), pageCompression=1, invariant=1)
    page.scale(MM, MM)
    for k, width in enumerate([0.3, 0.6, 1.2, 2.4]):
        page.setLineWidth(width)
        page.line(20, 20 + 8 * k, 90, 24 + 8 * k)
    page.setLineWidth(0.5)
    page.setDash([6, 2], 3)
    page.bezier(20, 60, 50, 100, 80, 30, 110, 70)
    page.setDash()
    page.saveState()
    page.translate(140, 60)
    page.rotate(30)
    page.scale(1.5, 0.8)
    page.setLineWidth(0.8)
    page.circle(0, 0, 20)
    page.rect(-10, -10, 20, 20)
    page.restoreState()
    page.saveState()
    clip = page.beginPath()
    clip.rect(30, 100, 60, 40)
    page.clipPath(clip, stroke=0)
    page.setStrokeColorRGB(0.8, 0, 0)
    page.setLineWidth(0.4)
    page.circle(60, 120, 28)
    page.line(10, 105, 190, 135)
    page.restoreState()
    page.setFillColorRGB(0, 0, 0.6)
    path = page.beginPath()
    path.moveTo(120, 110)
    path.curveTo(130, 150, 170, 150, 180, 110)
    path.lineTo(150, 118)
    page.drawPath(path, stroke=0, fill=1)
    page.beginForm("inner", 0, 0, 20, 10)
    page.setLineWidth(0.3)
    page.line(1, 1, 19, 9)
    page.line(1, 9, 19, 1)
    page.endForm()
    page.beginForm("outer", 0, 0, 50, 20)
    page.doForm("inner")
    page.translate(22, 3)
    page.doForm("inner")
    page.endForm()
    page.translate(125, 15)
    page.doForm("outer")
    page.showPage()
    page.save()
    pdf = Pdf.open("kinds.pdf", allow_overwriting_input=True)
    pdf.pages[0].Rotate = 90
    pdf.pages[0].CropBox = Array([10 * MM, 12 * MM, 195 * MM, 150 * MM])
    save(pdf, "kinds.pdf")


def bomb():
    """Some kilobytes that unpack to four gigabytes, twice packed."""
    import zlib

    packer = zlib.compressobj(9)
    once = b"".join(packer.compress(b" " * (1 << 20)) for _ in range(4096)) + packer.flush()
    packed = zlib.compress(once, 9)
    objects = [
        b"<< /Type /Catalog /Pages 2 0 R >>",
        b"<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
        b"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 100 100] /Contents 4 0 R >>",
        b"<< /Length %d /Filter [/FlateDecode /FlateDecode] >> stream\n%s\nendstream" % (len(packed), packed),
    ]
    out, places = b"%PDF-1.5\n", []
    for number, content in enumerate(objects):
        places.append(len(out))
        out += b"%d 0 obj\n%s\nendobj\n" % (number + 1, content)
    start = len(out)
    out += b"xref\n0 5\n0000000000 65535 f \n" + b"".join(b"%010d 00000 n \n" % place for place in places)
    out += b"trailer << /Size 5 /Root 1 0 R >>\nstartxref\n%d\n%%%%EOF\n" % start
    open("bomb.pdf", "wb").write(out)


def by_latex():
    """The same sheet by LaTeX: pgf's numbers, the fonts of TeX."""
    with tempfile.TemporaryDirectory() as folder:
        with open(f"{folder}/coat-latex.tex", "w") as file:
            file.write(document())
        how = dict(check=True, env={**os.environ, "SOURCE_DATE_EPOCH": "0"}, stdout=subprocess.DEVNULL)
        subprocess.run(["pdflatex", "-output-directory", folder, f"{folder}/coat-latex.tex"], **how)
        shutil.move(f"{folder}/coat-latex.pdf", "coat-latex.pdf")


def by_mupdf():
    """cairo's page drawn anew by MuPDF, and qpdf's layers with their commands and objects rewritten."""
    subprocess.run(["mutool", "draw", "-q", "-o", "coat-mupdf.pdf", "-F", "pdf", "coat-cairo.pdf"], check=True)
    subprocess.run(["mutool", "clean", "-ggggzs", "coat-layers.pdf", "coat-mupdf-layers.pdf"], check=True)


if __name__ == "__main__":
    kinds()
    bomb()
    by_cairo("coat-cairo.pdf", range(5))
    by_reportlab()
    save(layered(), "coat-layers.pdf", linearize=True, object_stream_mode=pikepdf.ObjectStreamMode.generate)
    save(layered(), "coat-locked-aes.pdf", encryption=pikepdf.Encryption(user="", owner="chalk", R=6))
    save(layered(), "coat-locked-rc4.pdf", encryption=pikepdf.Encryption(user="", owner="chalk", R=3, aes=False, metadata=False), object_stream_mode=pikepdf.ObjectStreamMode.disable)
    small = Pdf.new()
    small.add_blank_page(page_size=(100, 100))
    save(small, "password.pdf", encryption=pikepdf.Encryption(user="chalk", owner="beam", R=6))
    tiled("tiles-form-a4.pdf", "a4", 10.0, "form", lambda tiles: tiles)
    tiled("tiles-form-letter.pdf", "letter", 0.0, "form", lambda tiles: tiles[::-1])
    tiled("tiles-cut-a4.pdf", "a4", 0.0, "cut", lambda tiles: tiles)
    # The pages come column by column, from the right.
    tiled("tiles-cut-letter.pdf", "letter", 10.0, "cut", lambda tiles: sorted(tiles, key=lambda t: (-t[1], t[0])))
    by_latex()
    by_mupdf()
