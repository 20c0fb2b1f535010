//! Lines that cross each other instead of meeting, cut where they cross.

use super::super::drawing::Stroke;
use super::chain::LineId;
use crate::geometry::tolerance::JOIN_MM;
use crate::geometry::{Curve, Rect, Segment, crossings};
use std::collections::BTreeMap;

/// More stretches than this are not cut: a net of so many loose lines is a hatching.
const MOST_STRETCHES: usize = 20_000;

/// More crossings than this are a hatching too.
const MOST_CROSSINGS: usize = 20_000;

/// Stretches are held against each other so many times at most.
const MOST_LOOKS: usize = 1_000_000;

struct Stretch {
    line: usize,
    at: usize,
    curve: Curve,
    bounds: Rect,
}

/// The lines cut at every place where they cross another or themselves; none when nothing crosses.
pub(super) fn sliced(lines: &[(LineId, &Stroke)]) -> Vec<(LineId, Stroke)> {
    let mut stretches: Vec<Stretch> = Vec::new();
    for (line, (_, stroke)) in lines.iter().enumerate() {
        for (at, segment) in stroke.curve.segments().iter().enumerate() {
            let Ok(curve) = Curve::new(vec![*segment]) else { continue };
            stretches.push(Stretch { line, at, bounds: curve.bounding_box(), curve });
        }
    }
    if stretches.len() > MOST_STRETCHES {
        return Vec::new();
    }
    stretches.sort_by(|a, b| a.bounds.x0.total_cmp(&b.bounds.x0));
    let mut cuts: BTreeMap<(usize, usize), Vec<f64>> = BTreeMap::new();
    let (mut count, mut looks) = (0_usize, 0_usize);
    for (index, one) in stretches.iter().enumerate() {
        for other in stretches[index + 1..].iter().take_while(|other| other.bounds.x0 <= one.bounds.x1) {
            let apart = other.bounds.y0 > one.bounds.y1 || other.bounds.y1 < one.bounds.y0;
            if apart || (one.line == other.line && one.at.abs_diff(other.at) <= 1) {
                continue;
            }
            looks += 1;
            for crossing in crossings(&one.curve, &other.curve) {
                count += 1;
                cuts.entry((one.line, one.at)).or_default().push(crossing.on_first);
                cuts.entry((other.line, other.at)).or_default().push(crossing.on_second);
            }
            if count > MOST_CROSSINGS || looks > MOST_LOOKS {
                return Vec::new();
            }
        }
    }
    if cuts.is_empty() {
        return Vec::new();
    }
    let mut parts: Vec<(LineId, Stroke)> = Vec::new();
    for (line, &(id, stroke)) in lines.iter().enumerate() {
        let mut run: Vec<Segment> = Vec::new();
        let mut end = |run: &mut Vec<Segment>| {
            if let Ok(curve) = Curve::new(std::mem::take(run)) {
                parts.push((id, Stroke { curve, closed: false, ..stroke.clone() }));
            }
        };
        for (at, segment) in stroke.curve.segments().iter().enumerate() {
            let Some(places) = cuts.get_mut(&(line, at)) else {
                run.push(*segment);
                continue;
            };
            places.sort_by(f64::total_cmp);
            let length = segment.length();
            let mut from = 0.0;
            for &to in places.iter() {
                if to - from > JOIN_MM && length - to > JOIN_MM {
                    run.push(segment.subsegment(
                        segment.parameter_within(from, length),
                        segment.parameter_within(to, length),
                    ));
                    end(&mut run);
                    from = to;
                } else if to <= JOIN_MM {
                    end(&mut run);
                }
            }
            run.push(segment.subsegment(segment.parameter_within(from, length), 1.0));
            if places.last().is_some_and(|last| length - last <= JOIN_MM) {
                end(&mut run);
            }
        }
        end(&mut run);
    }
    parts
}
