#!/bin/sh
# Makes, once, what drawing programs write of a PDF file that they were given: coat-inkscape.pdf and coat-libreoffice.pdf
# here, coat-libreoffice.svg in the folder above. Made with Inkscape 1.2.2 and LibreOffice 7.4 (Debian 12: inkscape,
# libreoffice-draw).
set -eu
cd "$(dirname "$0")"
coat=coat-cairo.pdf
made=$(mktemp -d)

inkscape --pdf-poppler "$coat" --export-filename=coat-inkscape.pdf
for kind in pdf svg; do
    soffice --headless --infilter=draw_pdf_import --convert-to "$kind:draw_${kind}_Export" --outdir "$made" "$coat"
done
mv "$made/coat-cairo.pdf" coat-libreoffice.pdf
mv "$made/coat-cairo.svg" ../coat-libreoffice.svg
rmdir "$made"
