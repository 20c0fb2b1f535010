//! Room: every copy laid once, on the cloth, apart from the others and off the flaws.

use super::{Breach, Only};
use crate::cloth::FoldWay;
use crate::finding::{Finding, Severity};
use crate::geometry::Vec2;
use crate::lay::laid::{ON_EDGE_MM, Spot, Table, Under};
use crate::lay::{Grain, Outline, Rule};
use std::collections::BTreeMap;

pub(super) fn check(table: &Table<'_>, only: Only, found: &mut Vec<Breach>) {
    if only.is_none() {
        copies(table, found);
    }
    let flaws = flaws(table);
    for spot in table.spots.iter().filter(|spot| only.is_none_or(|only| only == spot.index)) {
        inside(table, spot, found);
        for (what, flaw) in &flaws {
            if let Some(over) = spot.outline.overlap(flaw) {
                let what = format!("{} lies on the flaw “{what}”, {:.1} mm deep", spot.name(), over.depth_mm);
                let finding = Finding::new(Severity::Stop, what, "move the piece off it")
                    .at(spot.on_piece(over.at))
                    .by_mm(over.depth_mm);
                found.push(Breach::new(Rule::Flaws, finding).of(spot.id(), spot.place.copy));
            }
        }
    }
    for (number, first) in table.spots.iter().enumerate() {
        for second in &table.spots[number + 1..] {
            if only.is_none_or(|only| only == first.index || only == second.index) {
                // The piece that is dragged is named first.
                let (first, second) =
                    if only == Some(second.index) { (second, first) } else { (first, second) };
                apart(table, first, second, found);
            }
        }
    }
}

/// How often each copy on the cutting list is laid.
fn copies(table: &Table<'_>, found: &mut Vec<Breach>) {
    let mut missing = Vec::new();
    for (part_index, part) in table.laid.parts.all().iter().enumerate() {
        let id = &part.piece.id;
        let mut times: BTreeMap<u32, u32> = BTreeMap::new();
        let spots = table.spots.iter().filter(|spot| spot.part_index == part_index);
        for copy in spots.flat_map(|spot| &spot.copies) {
            *times.entry(copy.number).or_default() += 1;
        }
        let lacks: Vec<String> = (1..=part.count)
            .filter(|number| !times.contains_key(number))
            .map(|number| number.to_string())
            .collect();
        match &lacks[..] {
            [] => {}
            _ if part.count == 1 => missing.push(format!("“{id}”")),
            [one] => missing.push(format!("“{id}” {one}")),
            [.., last] => missing.push(format!("“{id}” {} and {last}", lacks[..lacks.len() - 1].join(", "))),
        }
        for (&number, &count) in &times {
            if number == 0 || number > part.count {
                let what =
                    format!("“{id}”, copy {number}, would be cut, but only {} are asked for", part.count);
                let remedy = "take it off the cloth, or lay the piece where the cloth lies in a single ply";
                let finding = Finding::new(Severity::Stop, what, remedy);
                found.push(Breach::new(Rule::Copies, finding).of(id, number));
            } else if count > 1 {
                let what = format!("“{id}”, copy {number}, is laid {count} times");
                let finding = Finding::new(Severity::Stop, what, "take all but one off the cloth");
                found.push(Breach::new(Rule::Copies, finding).of(id, number));
            }
        }
    }
    if !missing.is_empty() {
        let what = format!("not laid yet: {}", missing.join(", "));
        let remedy = "lay every copy before the first cut, to see that the cloth is enough";
        found.push(Breach::new(Rule::Copies, Finding::new(Severity::Warning, what, remedy)));
    }
}

fn inside(table: &Table<'_>, spot: &Spot<'_>, found: &mut Vec<Breach>) {
    let (extent, bounds) = (table.extent, spot.outline.bounds());
    let part = spot.part;
    let mut say = |what: String, remedy: &str, amount: f64, onto: Option<Vec2>| {
        let finding = Finding::new(Severity::Stop, what, remedy).by_mm(amount);
        let breach = Breach::new(Rule::Inside, finding).of(spot.id(), spot.place.copy);
        found.push(match onto {
            Some(by) => breach.mended(format!("move it by {amount:.1} mm onto the cloth"), spot.moved(by)),
            None => breach,
        });
    };
    let opened = part.fold().is_some() && spot.under == Under::Single;
    let rules = table.laid.rules;
    let grain = rules.grain_of(spot.id());
    let any = [Grain::Warp, Grain::Weft, Grain::Bias];
    let grains = if rules.lets_pass_on(Rule::Grain, spot.id()) { &any[..] } else { &[grain] };
    let tolerance = rules.grain_tolerance_degrees.max(0.0);
    let least = grains.iter().map(|grain| part.least_width_mm(*grain, tolerance, opened));
    let least = least.fold(f64::INFINITY, f64::min);
    let room = extent.height();
    if least > room + ON_EDGE_MM {
        let folded = if table.plies.len() > 1 { ", folded as it is" } else { "" };
        let as_cut = if opened { ", opened out" } else { "" };
        let what = format!(
            "{} is {least:.0} mm wide{as_cut}, in the narrowest turn that its grain allows; the cloth has {room:.0} \
             mm of usable width{folded}",
            spot.name()
        );
        let remedy = "use wider cloth, lay it flat, or give the piece a seam";
        say(what, remedy, least - room, None);
    } else {
        let (low, high) = (extent.y0 - bounds.y0, bounds.y1 - extent.y1);
        let across = low.max(high);
        if across > ON_EDGE_MM {
            let what = format!("{} lies {across:.2} mm over the edge of the usable width", spot.name());
            let up = if low >= high { across } else { -across };
            // Over both edges, as it lies, no move helps.
            let onto = (low.min(high) <= -across).then_some(Vec2::new(0.0, up));
            say(what, "move it across the cloth", across, onto);
        }
    }
    let before = extent.x0 - bounds.x0;
    if before > ON_EDGE_MM {
        let what = format!("{} lies {before:.2} mm over the cut end", spot.name());
        say(what, "move it along the cloth", before, Some(Vec2::new(before, 0.0)));
    }
    let beyond = bounds.x1 - extent.x1;
    if beyond > ON_EDGE_MM {
        let what = format!(
            "{} reaches {:.0} mm along the cloth; {:.0} mm are at hand: {beyond:.1} mm short",
            spot.name(),
            bounds.x1,
            extent.x1
        );
        say(what, "move pieces closer, or get more cloth", beyond, None);
    }
}

fn apart(table: &Table<'_>, first: &Spot<'_>, second: &Spot<'_>, found: &mut Vec<Breach>) {
    let of_both = |finding| {
        Breach::new(Rule::Apart, finding).of(first.id(), first.place.copy).of(second.id(), second.place.copy)
    };
    let other = format!("“{}”, copy {}", second.id(), second.place.copy);
    if let Some(over) = first.outline.overlap(&second.outline) {
        let what = format!(
            "{} overlaps {other} by {:.1} mm at the deepest, {:.0} mm² in all",
            first.name(),
            over.depth_mm,
            over.area_mm2
        );
        let finding = Finding::new(Severity::Stop, what, "move one of them away")
            .at(first.on_piece(over.at))
            .by_mm(over.depth_mm);
        found.push(of_both(finding));
        return;
    }
    let gap = table.laid.rules.gap.mm();
    if gap <= ON_EDGE_MM {
        return;
    }
    if let Some((distance, at)) = first.outline.gap_below(&second.outline, gap - ON_EDGE_MM) {
        let what = format!(
            "{} lies {distance:.1} mm from {other}; the rules ask for {}",
            first.name(),
            table.laid.rules.gap
        );
        let finding = Finding::new(Severity::Stop, what, "move one of them away, or set a smaller gap")
            .at(first.on_piece(at))
            .by_mm(gap - distance);
        found.push(of_both(finding));
    }
}

/// The flaws of every ply on the table, beyond a fold left out.
fn flaws<'a>(table: &Table<'a>) -> Vec<(&'a str, Outline)> {
    let fold = table.laid.cloth.fold().map(|fold| fold.way);
    let flaws = table.laid.cloth.flaws.iter().filter(|flaw| flaw.outline.len() >= 3);
    flaws
        .flat_map(|flaw| {
            let outline = Outline::new(flaw.outline.clone());
            table.plies.iter().filter_map(move |ply| {
                let on_table = outline.moved(ply.sheet_from_table.inverse());
                let bounds = on_table.bounds();
                let seen = match fold {
                    None => true,
                    Some(FoldWay::Lengthwise) => bounds.y1 > 0.0,
                    Some(FoldWay::Crosswise) => bounds.x1 > 0.0,
                };
                seen.then_some((flaw.what.as_str(), on_table))
            })
        })
        .collect()
}
