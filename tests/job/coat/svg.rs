//! The garden coat in one size as a drawing program would have written it: true scale, y down, a group a piece, some
//! pieces under a transform, one as a clone, one drawn edge by edge.

use chalkbeam::geometry::{Affine, Curve, Point, Segment, Vec2};
use chalkbeam::pattern::{NotchKind, Pattern, Piece};
use std::fmt::Write as _;

/// The size that is drawn.
pub(crate) const SIZE: &str = "88";

/// The page, in mm.
pub(crate) const PAGE: (f64, f64) = (1500.0, 1250.0);

/// How a piece stands in the file.
struct Place {
    id: &'static str,
    /// The group's transform as written.
    transform: &'static str,
    /// The same as numbers: page (y down, mm) from the group's coordinates.
    page_from_group: Affine,
    /// The group's coordinates (y down) from the piece's (y up).
    group_from_piece: Affine,
}

fn places() -> [Place; 6] {
    let down = Affine::scale_non_uniform(1.0, -1.0);
    let moved = |x: f64, y: f64| Affine::translate(Vec2::new(x, y));
    [
        Place {
            id: "back",
            transform: "",
            page_from_group: Affine::IDENTITY,
            group_from_piece: moved(40.0, 480.0) * down,
        },
        Place {
            id: "front",
            transform: "translate(540 500)",
            page_from_group: moved(540.0, 500.0),
            group_from_piece: down,
        },
        Place {
            id: "front facing",
            transform: "matrix(10 0 0 10 1080 500)",
            page_from_group: moved(1080.0, 500.0) * Affine::scale(10.0),
            group_from_piece: Affine::scale(0.1) * down,
        },
        Place {
            id: "back neck facing",
            transform: "translate(1260,500)",
            page_from_group: moved(1260.0, 500.0),
            group_from_piece: down,
        },
        Place {
            id: "front armhole facing",
            transform: "translate(1620 740) rotate(-90)",
            page_from_group: moved(1620.0, 740.0) * Affine::rotate(-90_f64.to_radians()),
            group_from_piece: down,
        },
        Place {
            id: "back armhole facing",
            transform: "",
            page_from_group: moved(1220.0, 1190.0),
            group_from_piece: down,
        },
    ]
}

/// Where the importer shall find a piece: the page with y up, from the piece's own coordinates.
pub(crate) fn page_from_piece(id: &str) -> Affine {
    let place = places().into_iter().find(|place| place.id == id).unwrap();
    let up = Affine::new([1.0, 0.0, 0.0, -1.0, 0.0, PAGE.1]);
    up * place.page_from_group * place.group_from_piece
}

/// The drawing. Width and height as given, so that other units can be tried.
pub(crate) fn drawing(coat: &Pattern, width: &str, height: &str) -> String {
    let mut text = format!(
        r##"<?xml version="1.0" encoding="UTF-8" standalone="no"?>
<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="{width}" height="{height}" viewBox="0 0 {} {}">
  <title>Garden coat</title>
  <desc>An invented coat, size {SIZE}, true scale, seam lines without allowance</desc>
  <defs>
    <marker id="arrow" orient="auto" refX="0" refY="0" markerWidth="8" markerHeight="8"><path d="M-4-2 0 0-4 2Z"/></marker>
    <style>
      .seam {{ fill: none; stroke: #1a1a1a; stroke-width: 0.6 }}
      .notch, .grain, .drill {{ fill: none; stroke: #1a1a1a; stroke-width: 0.4 }}
      .inner {{ fill: none; stroke: #1a1a1a; stroke-width: 0.4; stroke-dasharray: 6 3 }}
      .thin {{ stroke-width: 0.06 }}
      text {{ font-family: sans-serif }}
    </style>
    <g id="back-armhole-facing-drawn">
"##,
        PAGE.0, PAGE.1
    );
    let find = |id: &str| coat.piece(&id.into(), &SIZE.into()).unwrap().clone();
    let all = places();
    let last = &all[5];
    contents(&mut text, &find(last.id), last, false);
    text.push_str("    </g>\n  </defs>\n");
    text.push_str("  <g id=\"construction\" style=\"display:none\"><path class=\"seam\" d=\"M10 10H1490V1240H10Z\"/></g>\n");
    text.push_str(
        "  <rect id=\"test-square\" class=\"seam\" x=\"1010\" y=\"20\" width=\"100\" height=\"100\"/>\n",
    );
    for place in &all[..5] {
        let transform = if place.transform.is_empty() {
            String::new()
        } else {
            format!(" transform=\"{}\"", place.transform)
        };
        writeln!(text, "  <g id=\"{}\"{transform}>", place.id.replace(' ', "-")).unwrap();
        contents(&mut text, &find(place.id), place, place.id == "front");
        text.push_str("  </g>\n");
    }
    text.push_str("  <use id=\"back-armhole-facing\" xlink:href=\"#back-armhole-facing-drawn\" x=\"1220\" y=\"1190\"/>\n</svg>\n");
    text
}

fn contents(text: &mut String, piece: &Piece, place: &Place, edge_by_edge: bool) {
    let pen =
        Pen { transform: place.group_from_piece, scale: place.group_from_piece.determinant().abs().sqrt() };
    let id = place.id.replace(' ', "-");
    // Under a transform that enlarges, the pen is made thinner.
    let thin = if pen.scale < 1.0 { " thin" } else { "" };
    let mut line = |name: &str, class: &str, d: &str, more: &str| {
        let name = name.replace([' ', ','], "-").replace("--", "-");
        writeln!(text, "    <path id=\"{id}-{name}\" class=\"{class}{thin}\" d=\"{d}\"{more}/>").unwrap();
    };
    if edge_by_edge {
        for edge in &piece.edges {
            line(edge.id.as_str(), "seam", &pen.open(&edge.curve), "");
        }
    } else {
        let mut d = pen.move_to(piece.edges[0].curve.start());
        for edge in &piece.edges {
            pen.draw(&mut d, &edge.curve);
        }
        line("outline", "seam", &format!("{d}Z"), "");
    }
    for notch in &piece.notches {
        let edge = piece.edge(&notch.edge).unwrap();
        let along = notch.distance_from_start(edge);
        let tick = |along: f64| {
            let (at, t) = (edge.curve.point_at(along), edge.curve.tangent_at(along));
            (at, at + 6.0 * Vec2::new(-t.y, t.x))
        };
        let (class, points) = match notch.kind {
            NotchKind::Single => {
                let (at, inside) = tick(along);
                ("notch", vec![at, inside])
            }
            NotchKind::Double => {
                let ((a, inside_a), (b, inside_b)) = (tick(along - 3.0), tick(along + 3.0));
                ("notch double", vec![a, inside_a, inside_b, b])
            }
        };
        let tick = Curve::polyline(&points).unwrap();
        line(&format!("notch {}", notch.id), class, &pen.open(&tick), "");
    }
    let grain = Curve::line(piece.grainline.from, piece.grainline.to);
    line("grainline", "grain", &pen.open(&grain), " marker-end=\"url(#arrow)\"");
    for dart in &piece.darts {
        let mouth = piece.dart_mouth(&dart.id).unwrap();
        let legs = Curve::polyline(&[mouth.curve.start(), dart.apex, mouth.curve.end()]).unwrap();
        line("dart legs", "inner", &pen.open(&legs), "");
    }
    for inner in &piece.inner_lines {
        line(&inner.name, "inner", &pen.open(&inner.curve), "");
    }
    for hole in &piece.drill_holes {
        let at = pen.transform * hole.at;
        writeln!(
            text,
            "    <circle id=\"{id}-drill-{}\" class=\"drill\" cx=\"{}\" cy=\"{}\" r=\"{}\"/>",
            hole.name.replace(' ', "-"),
            number(at.x),
            number(at.y),
            number(1.5 * pen.scale)
        )
        .unwrap();
    }
    for words in &piece.texts {
        let at = pen.transform * words.at;
        writeln!(
            text,
            "    <text x=\"{}\" y=\"{}\" font-size=\"{}\">{}</text>",
            number(at.x),
            number(at.y),
            number(words.height_mm / 0.7 * pen.scale),
            words.words
        )
        .unwrap();
    }
}

struct Pen {
    transform: Affine,
    scale: f64,
}

/// At most four decimals.
fn number(x: f64) -> String {
    let rounded = (x * 1e4).round() / 1e4 + 0.0;
    format!("{rounded}")
}

impl Pen {
    fn point(&self, point: Point) -> String {
        let at = self.transform * point;
        format!("{} {}", number(at.x), number(at.y))
    }

    fn move_to(&self, point: Point) -> String {
        format!("M{}", self.point(point))
    }

    fn open(&self, curve: &Curve) -> String {
        let mut d = self.move_to(curve.start());
        self.draw(&mut d, curve);
        d
    }

    fn draw(&self, d: &mut String, curve: &Curve) {
        for segment in curve.segments() {
            match segment {
                Segment::Line(line) => write!(d, "L{}", self.point(line.p1)),
                Segment::Cubic(c) => {
                    write!(d, "C{} {} {}", self.point(c.p1), self.point(c.p2), self.point(c.p3))
                }
                Segment::Arc(arc) => {
                    let radius = number(arc.radius * self.scale);
                    // With y down, a counter-clockwise arc runs against SVG's positive angles.
                    let (large, sweep) =
                        (u8::from(arc.sweep.abs() > std::f64::consts::PI), u8::from(arc.sweep < 0.0));
                    write!(d, "A{radius} {radius} 0 {large} {sweep} {}", self.point(arc.eval(1.0)))
                }
            }
            .unwrap();
        }
    }
}
