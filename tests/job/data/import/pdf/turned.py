"""Makes the page that another program turned. Run once:

    pip install reportlab==5.1.0; python turned.py; needs qpdf

Nothing here is used by the tests but the file. Lengths in mm, y up; the drawing is that of turned.rs.
"""

import subprocess

from reportlab.pdfgen import canvas

MM = 72 / 25.4
STEP = 8
PIECES = [(46, 80, 60, 80, "Front"), (148, 85, 52, 84, "Band")]

page = canvas.Canvas("upright.pdf", pagesize=(254 * MM, 254 * MM), pageCompression=1, invariant=1)
page.scale(MM, MM)
page.setLineWidth(0.4)
for rank, name in enumerate(["8", "10", "12"]):
    out = STEP * rank
    for x, y, width, height, _ in PIECES:
        left, right, low, high = x - out, x + width + out, y - out, y + height + out
        path = page.beginPath()
        path.moveTo(left, low)
        path.lineTo(right, low)
        path.lineTo(right - 8, high)
        path.lineTo(left, high)
        path.close()
        page.drawPath(path)
        page.setFont("Helvetica", 5)
        page.drawRightString(left - 0.6, 120, name)
for x, y, _, _, name in PIECES:
    x, y = x + 16, y + 10
    page.line(x, y, x, y + 50)
    page.line(x - 2.5, y + 45, x, y + 50)
    page.line(x, y + 50, x + 2.5, y + 45)
    page.setFont("Helvetica", 8)
    page.drawString(x + 4, y + 25, name)
page.showPage()
page.save()
subprocess.run(["qpdf", "--deterministic-id", "--rotate=90", "upright.pdf", "turned-sizes.pdf"], check=True)
