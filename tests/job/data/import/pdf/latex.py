"""Writes the coat as a LaTeX document that draws with pgf; see make.py."""

from coat import LOOKS, SHEET, coat


def place(p):
    return r"\pgfpoint{%.5fmm}{%.5fmm}" % p


def document():
    sheets = coat()
    out = [
        r"\documentclass{article}",
        r"\usepackage{graphicx,pgf}",
        r"\paperwidth=%gmm \paperheight=%gmm \pdfpagewidth=\paperwidth \pdfpageheight=\paperheight" % SHEET,
        r"\pdfhorigin=0pt \pdfvorigin=0pt \topskip=0pt \parindent=0pt",
        r"\hoffset=0pt \voffset=0pt \topmargin=0pt \headheight=0pt \headsep=0pt \oddsidemargin=0pt",
        r"\textwidth=%gmm \textheight=%gmm" % SHEET,
        r"\pagestyle{empty}",
        r"\begin{document}%",
        r"\vbox to \textheight{\vfil\hbox to 0pt{\begin{pgfpicture}",
        r"\pgfpathrectangle{\pgfpointorigin}{\pgfpoint{%gmm}{%gmm}}\pgfusepath{use as bounding box}" % SHEET,
    ]
    for (colour, dashes), pieces in zip(LOOKS, sheets):
        out.append(r"\definecolor{look}{rgb}{%g,%g,%g}\pgfsetstrokecolor{look}\pgfsetlinewidth{0.5mm}" % colour)
        for piece in pieces.values():
            out.append(r"\pgfsetdash{%s}{0pt}" % "".join("{%gmm}" % dash for dash in dashes))
            first = True
            for run in piece["edges"].values():
                for segment in run:
                    if first:
                        out.append(r"\pgfpathmoveto{%s}" % place(segment[1]))
                        first = False
                    kind = "lineto" if segment[0] == "L" else "curveto"
                    out.append(r"\pgfpath%s" % kind + "".join("{%s}" % place(p) for p in segment[2:]))
            out.append(r"\pgfpathclose\pgfusepath{stroke}\pgfsetdash{}{0pt}")
            for a, b in [*piece["ticks"], piece["grain"]]:
                out.append(r"\pgfpathmoveto{%s}\pgfpathlineto{%s}\pgfusepath{stroke}" % (place(a), place(b)))
    out.append(r"\pgfsetcolor{black}")
    for piece in sheets[0].values():
        for text, at, height in piece["words"]:
            # Capitals of Computer Modern stand 6.83 of 10 units high.
            scale = height / (10 * 0.683 * 25.4 / 72.27)
            out.append(r"\pgftext[left,base,at={%s}]{\scalebox{%.4f}{%s}}" % (place(at), scale, text))
    out.append(r"\pgfpathrectangle{\pgfpoint{1850mm}{1100mm}}{\pgfpoint{100mm}{100mm}}\pgfusepath{stroke}")
    out.append(r"\pgftext[left,base,at={\pgfpoint{1860mm}{1145mm}}]{\scalebox{2.5}{Test square 10 cm}}")
    out += [r"\end{pgfpicture}\hss}}", r"\end{document}"]
    return "\n".join(out) + "\n"

