//! Twenty alterations of the garden coat, of every kind, for the bench and for a test of what they give.

use chalkbeam::alter::{Alteration, AlterationId};
use std::path::Path;

/// The records; the first is the blend.
const TWENTY: [&str; 20] = [
    r#"Blend(to: "96", piece: "back", from: Notch(notch: "below dart"), until: Notch(notch: "hip"))"#,
    r#"Lengthen(at: BalanceLine(line: "waist"), longer_by: "21 mm")"#,
    r#"Shoulder(parts: [(piece: "back", shoulder: "shoulder", armhole: "armhole", lower_by: "6 mm"), (piece: "front", shoulder: "shoulder", armhole: "armhole", lower_by: "5 mm")], armhole: Keep)"#,
    r#"Width(piece: "back", full: Corner(corner: "hem side"), nothing: Corner(corner: "underarm"), let_out: "4 mm")"#,
    r#"Width(piece: "back", full: Notch(notch: "waist"), nothing: Corner(corner: "underarm"), also_nothing: Notch(notch: "hip"), let_out: "-3 mm")"#,
    r#"Opening(parts: [(piece: "front", edges: ["neck"], lower_by: "8 mm", fade: (full_at: "neck front edge", nothing_at: "shoulder neck"))])"#,
    r#"Opening(parts: [(piece: "back", edges: ["neck"], lower_by: "3 mm", fade: (full_at: "neck centre", nothing_at: "shoulder neck"))])"#,
    r#"Opening(parts: [(piece: "back", edges: ["armhole"], lower_by: "5 mm", fade: (full_at: "underarm", nothing_at: "shoulder tip")), (piece: "front", edges: ["armhole"], lower_by: "5 mm", fade: (full_at: "underarm", nothing_at: "shoulder tip"))])"#,
    r#"Dart(piece: "front", dart: "bust", change: MoveApex(up: "4 mm", withdraw: "10 mm"))"#,
    r#"Dart(piece: "front", dart: "bust", change: EqualiseLegs())"#,
    r#"Dart(piece: "front", dart: "bust", change: True)"#,
    r#"Lengthen(at: BalanceLine(line: "waist"), longer_by: "-6 mm")"#,
    r#"Hem(longer_by: "-80 mm")"#,
    r#"Hem(longer_by: "12 mm")"#,
    r#"Allowance(Garment(seam: "15 mm", hem: "40 mm"))"#,
    r#"Allowance(Edges(piece: "back", edges: ["neck"], width: "10 mm"))"#,
    r#"Allowance(Corner(piece: "back", corner: "hem side", shape: Mirrored(turned: "hem")))"#,
    r#"Facing(piece: "back armhole facing", along: [(piece: "back", edges: ["armhole"])], width: "45 mm")"#,
    r#"Facing(piece: "front armhole facing", along: [(piece: "front", edges: ["armhole"])], width: "45 mm")"#,
    r#"Facing(piece: "back neck facing", along: [(piece: "back", edges: ["neck"])], width: "60 mm", trim: "1 mm")"#,
];

/// The twenty in order, with the blend at a place of the list: an early blend sees few steps before it, a late one has
/// to see them all in the other size.
pub(crate) fn twenty(blend_at: usize) -> Vec<Alteration> {
    let mut texts: Vec<(u32, &str)> = (1..).zip(TWENTY).collect();
    let blend = texts.remove(0);
    texts.insert(blend_at, blend);
    let place = Path::new("one of the twenty");
    let read = |(id, text)| Alteration {
        id: AlterationId(id),
        on: true,
        record: chalkbeam::document::parse(text, place).unwrap(),
    };
    texts.into_iter().map(read).collect()
}
