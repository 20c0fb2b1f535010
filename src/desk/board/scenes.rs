//! What the board shows at each stop.

use super::flaws::add_flaws;
use super::{Held, drawing};
use crate::alter::{Allowances, cutting_line};
use crate::desk::{FlawDrawing, Intake, Session, Stop};
use crate::floor::{FloorView, floor_scene};
use crate::geometry::{BezPath, Rect};
use crate::lay::matches;
use crate::pattern::{Piece, SizeId};
use crate::scene::{
    Layer, Scene, Show, View, add_held, add_light, add_matches, add_other_half, add_pointed, add_tapes,
    all_pieces, all_pieces_extent, before_and_after, lit_on_surface, overlay, printed_piece,
};
use kurbo::Shape as _;

/// Everything that a scene of the board depends on.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Shown {
    revision: u64,
    stop: Stop,
    piece: usize,
    size: Option<SizeId>,
    held: Option<Held>,
    /// The lay that is tried on.
    found: Option<u64>,
    floor: FloorView,
    unit_mm: f64,
    drawing: Option<u64>,
    flaw: Option<FlawDrawing>,
}

impl Shown {
    pub(super) fn now(session: &Session, unit_mm: f64) -> Self {
        Self {
            revision: session.open.revision(),
            stop: session.desk.stop,
            piece: session.desk.piece,
            size: session.desk.size.clone(),
            held: session.desk.held.clone(),
            found: found(session),
            floor: session.floor.clone(),
            unit_mm,
            drawing: session.desk.intake.as_ref().map(Intake::number),
            flaw: session.desk.flaw.clone(),
        }
    }
}

/// The number of the lay that is tried on at the stop Lay, in the stead of the garment's.
pub(super) fn found(session: &Session) -> Option<u64> {
    session.lay_finder.shown(&session.open).filter(|_| session.desk.stop == Stop::Lay)
}

/// What is to be seen at the stop, in mm, with signs for a board whose unit is `unit_mm`.
pub(super) fn scene_of(session: &Session, unit_mm: f64) -> Scene {
    let open = &session.open;
    let show = board_show(unit_mm);
    match session.desk.stop {
        Stop::Pattern => match &session.desk.intake {
            Some(intake) => drawing::scene_of(intake, unit_mm, &show),
            None => printed_scene(session, &show),
        },
        Stop::Body | Stop::Alter => {
            let Some(piece) = open.evaluated().pieces.get(session.desk.piece) else {
                return Scene::default();
            };
            let amounts = open.evaluated().balance_line_amounts(open.plan());
            let mut scene = before_and_after(piece, &amounts, &format!("size {}", open.plan().size), &show);
            if let Some(path) = session.desk.held.as_ref().and_then(|held| path_of(held, &piece.altered)) {
                add_held(&mut scene, &piece.altered, path);
            }
            if let Some(pointed) = &session.floor.pointed {
                add_pointed(&mut scene, &piece.altered, pointed, &show);
            }
            scene
        }
        Stop::Cloth | Stop::Lay => {
            let mut show = show;
            // Small, a lay is outlines, names and tops; its seams and amounts would hide them.
            if unit_mm > CROWDED_MM {
                for layer in [Layer::SeamLines, Layer::OldHem, Layer::BalanceLines, Layer::Marks] {
                    show.layers.remove(&layer);
                }
            }
            let view = View { pointed: session.floor.pointed.as_ref(), whole_cloth: true, ..View::of(&show) };
            let tried = found(session).and_then(|_| session.lay_finder.tried_on(open));
            let open = tried.as_ref().unwrap_or(open);
            let mut scene = overlay(open, &view);
            if let Some(cloth) = open.plan().cloth() {
                let drawn = session.desk.flaw.as_ref().filter(|_| session.desk.stop == Stop::Cloth);
                add_flaws(&mut scene, cloth, drawn, open.stand().surface_from_cloth(), unit_mm);
            }
            if session.desk.stop == Stop::Lay
                && let Some(laid) = open.evaluated().laid(open.plan())
            {
                if let Some(Held::Place(piece, copy)) = &session.desk.held {
                    add_other_half(&mut scene, open, (piece, *copy));
                }
                let stand = open.stand().surface_from_cloth();
                add_matches(&mut scene, &matches(&laid), stand, &show);
            }
            scene
        }
        Stop::Aim => {
            let Some(aim) = &open.aim().good else {
                return unaimed(session, unit_mm);
            };
            if session.floor.work.is_some() {
                let mut view = session.floor.clone();
                view.show.sign_scale = unit_mm;
                let mut scene = floor_scene(open, &view, aim.picture_size());
                add_light(&mut scene, aim);
                return scene;
            }
            let mut scene = Scene::default();
            let mut aiming = Show { sign_scale: unit_mm, ..Show::only_cutting_lines() };
            aiming.layers.extend([Layer::AimMarks, Layer::Proof]);
            add_light(&mut scene, aim);
            add_tapes(&mut scene, aim, &aiming);
            let view = View { active_mark: Some(session.floor.active_mark), ..View::of(&aiming) };
            scene.items.extend(overlay(open, &view).items);
            scene
        }
        Stop::Cut => {
            let Some(aim) = &open.aim().good else {
                return unaimed(session, unit_mm);
            };
            let mut view = session.floor.clone();
            view.show.sign_scale = unit_mm;
            view.show.layers.remove(&Layer::Legend);
            let mut scene = floor_scene(open, &view, aim.picture_size());
            add_light(&mut scene, aim);
            scene
        }
        Stop::Sheet => all_pieces(open.evaluated(), &show),
    }
}

/// Without an aim the board shows the picture itself, with the marks to be moved.
fn unaimed(session: &Session, unit_mm: f64) -> Scene {
    let mut view = session.floor.clone();
    view.show.sign_scale = unit_mm;
    let window = session.open.mount().picture_size(picture_size(session));
    floor_scene(&session.open, &view, window)
}

fn picture_size(session: &Session) -> (u32, u32) {
    let measured = session.open.measured();
    let whole = session.open.mount().picture_size(session.floor.window_size);
    measured.map_or(whole, |measured| measured.picture_size)
}

/// A board whose unit is larger than this shows a lay without its inner lines.
const CROWDED_MM: f64 = 2.5;

/// On the board the lines that only help on cloth are left out.
fn board_show(unit_mm: f64) -> Show {
    let mut show = Show { sign_scale: unit_mm, ..Show::for_cutting() };
    for layer in [Layer::Legend, Layer::MirroredHalf] {
        show.layers.remove(&layer);
    }
    show
}

/// The piece of the stop Pattern, in the size that is looked at.
fn printed(session: &Session) -> Option<&Piece> {
    let pattern = &session.open.garment().pattern;
    let size = session.desk.size.as_ref().unwrap_or(&session.open.plan().size);
    let index = pattern.size_index(size)?;
    pattern.pieces.get(session.desk.piece)?.by_size.get(index).map(AsRef::as_ref)
}

fn printed_scene(session: &Session, show: &Show) -> Scene {
    let Some(piece) = printed(session) else {
        return Scene::default();
    };
    let size = session.desk.size.as_ref().unwrap_or(&session.open.plan().size);
    let allowances = Allowances::of(&session.open.garment().pattern);
    let cutting = cutting_line(piece, &allowances).ok().map(|line| line.outline());
    printed_piece(piece, cutting.as_ref(), &format!("size {size}"), show)
}

/// The line of what is held.
fn path_of(held: &Held, piece: &Piece) -> Option<BezPath> {
    match held {
        Held::Edge(id) => piece.edge(id).map(|edge| edge.curve.to_bezpath()),
        Held::Dart(id) => {
            let (dart, mouth) = (piece.dart(id)?, piece.dart_mouth(id)?);
            let mut path = BezPath::new();
            path.move_to(mouth.curve.start());
            path.line_to(dart.apex);
            path.line_to(mouth.curve.end());
            Some(path)
        }
        Held::BalanceLine(id) => {
            let balance = piece.balance_lines.iter().find(|line| &line.id == id)?;
            Some(balance.line.to_path(1e-3))
        }
        Held::Mark(_) | Held::Place(..) | Held::Stand | Held::Page(_) | Held::Board => None,
    }
}

/// What the board is fitted to, in mm.
pub(super) fn bounds_of(session: &Session) -> Rect {
    let open = &session.open;
    let lit = open.aim().good.as_ref().map(lit_on_surface);
    let cloth = open
        .plan()
        .cloth()
        .map(|cloth| open.stand().surface_from_cloth().transform_rect_bbox(cloth.extent()));
    let anywhere = Rect::new(0.0, 0.0, 1000.0, 1000.0);
    match session.desk.stop {
        Stop::Aim | Stop::Cut => lit.unwrap_or_else(|| {
            let (width, height) = picture_size(session);
            Rect::new(0.0, 0.0, f64::from(width), f64::from(height))
        }),
        Stop::Cloth | Stop::Lay => cloth.unwrap_or(anywhere),
        Stop::Pattern => match &session.desk.intake {
            Some(intake) => intake.bounds().unwrap_or(anywhere),
            None => printed(session).map_or(anywhere, Piece::bounding_box),
        },
        Stop::Body | Stop::Alter => {
            let piece = open.evaluated().pieces.get(session.desk.piece);
            piece.map_or(anywhere, |piece| {
                let cutting = piece.cutting_path.as_ref().map(BezPath::bounding_box);
                let altered = cutting.unwrap_or_else(|| piece.altered.bounding_box());
                altered.union(piece.printed.bounding_box())
            })
        }
        Stop::Sheet => all_pieces_extent(open.evaluated()).unwrap_or(anywhere),
    }
}

/// What is missing before there is anything to see.
pub(super) fn missing(session: &Session) -> Option<String> {
    let open = &session.open;
    let has_cloth = open.plan().cloth().is_some();
    match session.desk.stop {
        Stop::Cloth if !has_cloth => {
            Some(format!("No {} is written down yet: begin one on the right.", open.plan().on_table.words()))
        }
        Stop::Lay if !has_cloth => Some(format!(
            "There is no {} to lay the pieces on: see the stop Cloth.",
            open.plan().on_table.words()
        )),
        Stop::Aim if open.measured().is_none() => {
            Some("Nothing is aimed yet: begin on the right, and four marks are lit.".to_owned())
        }
        Stop::Cut if open.aim().good.is_none() => Some(
            "Without an aim nothing has a place on the cloth, and nothing is lit but marks: see the stop Aim."
                .to_owned(),
        ),
        Stop::Cut if open.plan().lay.is_empty() => {
            Some("Nothing is laid yet, so there is nothing to cut: see the stop Lay.".to_owned())
        }
        Stop::Pattern if session.desk.intake.is_some() => None,
        _ if open.evaluated().pieces.is_empty() => Some("The pattern has no pieces in this size.".to_owned()),
        _ => None,
    }
}

/// How the board is used at the stop.
pub(super) fn caption(session: &Session) -> &'static str {
    match session.desk.stop {
        Stop::Aim => "Drag a mark, or light the marks (M) and use Tab and the arrows.",
        Stop::Lay if found(session).is_some() => "The lay that was found; take it or leave it, on the right.",
        Stop::Lay => "Drag a piece to lay it elsewhere.",
        Stop::Cut => "Drag a piece to move the whole lay under the light.",
        Stop::Body | Stop::Alter => {
            "Faint: before. Numbers: changed edges. Click a line for its facts; drag an edge, a dart or a lengthen/shorten line."
        }
        Stop::Pattern if session.desk.intake.as_ref().is_some_and(Intake::shows_pages) => {
            "Click a page to pick it; drag it, or move it by the arrows (1 mm; Shift 10, Ctrl 0.1). Delete leaves it out, Home and End turn it."
        }
        Stop::Pattern if session.desk.intake.is_some() => {
            "Click a line, a corner or a piece, then say on the right what it is. Drag to move."
        }
        Stop::Cloth if session.desk.flaw.is_some() => {
            "Click the flaw's corners one after the other; click the first one again to end."
        }
        Stop::Pattern | Stop::Cloth | Stop::Sheet => "Drag to move.",
    }
}
