//! Taking hold of things on the board: an edge, a dart, a line, a piece, a mark.
//!
//! A click selects, a drag changes: a mark moves in the picture, a piece on the cloth, the whole lay under the
//! light; edges, lengthen/shorten lines and darts put the dragged amount into their alteration. All commands of one
//! drag are one step of undo.

use super::amount::Amount;
use crate::desk::{Look, Session, Stop, Wish};
use crate::garment::{Command, GestureId, Stand};
use crate::geometry::{Length, Line, Point, Vec2};
use crate::lay::{Place, snapped};
use crate::pattern::{BalanceLineId, DartId, EdgeId, PieceId};
use egui::Ui;
use kurbo::{ParamCurveNearest as _, Shape as _};

/// What can be taken hold of.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Held {
    /// A mark of the aim, from 0.
    Mark(usize),
    /// A copy of a piece on the cloth.
    Place(PieceId, u32),
    /// The whole lay, as it lies under the light.
    Stand,
    /// An edge of the piece on the board.
    Edge(EdgeId),
    /// A dart of it.
    Dart(DartId),
    /// A lengthen/shorten line of it.
    BalanceLine(BalanceLineId),
    /// A page of a drawing, from 0.
    Page(usize),
    /// Nothing: the board itself moves.
    Board,
}

/// The board on the screen.
#[derive(Debug, Clone, Copy)]
pub(super) struct Board {
    /// Where it is in the window, in points.
    pub(super) rect: egui::Rect,
    /// Px a point.
    pub(super) scale: f64,
    /// Its size in px.
    pub(super) size: Vec2,
}

impl Board {
    /// The place of the window at which a px of the board is.
    #[expect(clippy::cast_possible_truncation, reason = "px of a screen, for the toolkit")]
    pub(super) fn pos_of(&self, px: Point) -> egui::Pos2 {
        self.rect.min + egui::vec2((px.x / self.scale) as f32, (px.y / self.scale) as f32)
    }

    /// The px of the board under a place of the window; y down.
    pub(super) fn px_of(&self, pos: egui::Pos2) -> Point {
        Point::new(
            f64::from(pos.x - self.rect.left()) * self.scale,
            f64::from(pos.y - self.rect.top()) * self.scale,
        )
    }
}

/// How close the pointer must be to a mark to take hold of it, in points.
const MARK_REACH: f64 = 24.0;
/// How close to a line.
const LINE_REACH: f64 = 9.0;

/// A drag in progress.
#[derive(Debug, Clone)]
struct Drag {
    held: Held,
    gesture: GestureId,
    /// The place that was taken hold of, in mm.
    from: Point,
    /// What is changed, as it was when the drag began.
    before: Before,
    /// The look when the drag began: a piece that grows must not change the scale under the hand.
    look: Look,
}

/// What a drag changes, as it was when the drag began.
#[derive(Debug, Clone)]
enum Before {
    /// An alteration's amount in mm.
    Amount(f64),
    /// Where a copy lay.
    Place(Place),
    /// How the cloth lay under the light.
    Stand(Stand),
    /// Something whose change is followed step by step.
    Nothing,
}

/// Turns what the pointer does on the board into wishes.
pub(super) fn take(
    ui: &Ui,
    response: &egui::Response,
    session: &mut Session,
    look: &mut Look,
    board: &Board,
    wishes: &mut Vec<Wish>,
) {
    let place_at = |look: &Look, pos: egui::Pos2| look.place_at(board.px_of(pos), board.size);
    let reach = |points: f64| points * board.scale / look.px_per_mm;
    if response.clicked()
        && let Some(pos) = response.interact_pointer_pos()
    {
        match &mut session.desk.intake {
            Some(intake) if session.desk.stop == Stop::Pattern && intake.shows_pages() => {
                let page = intake.page_at(place_at(look, pos));
                intake.pick_page(page);
            }
            Some(intake) if session.desk.stop == Stop::Pattern => {
                intake.point_to(place_at(look, pos), reach(LINE_REACH));
            }
            _ if session.desk.stop == Stop::Cloth && session.desk.flaw.is_some() => {
                if session.point_to_flaw(place_at(look, pos), reach(LINE_REACH)) {
                    wishes.extend(flaw_drawn(session));
                }
            }
            _ => {
                let held = held_at(session, place_at(look, pos), reach(MARK_REACH), reach(LINE_REACH));
                select(session, held);
            }
        }
    }
    let memory = response.id.with("drag");
    if response.drag_started()
        && let Some(pressed) = ui.input(|input| input.pointer.press_origin())
    {
        let from = place_at(look, pressed);
        let held = held_at(session, from, reach(MARK_REACH), reach(LINE_REACH));
        let gesture = GestureId(ui.input(|input| input.time.to_bits()));
        let before = before(session, &held, from);
        let drag = Drag { held: held.clone(), gesture, from, before, look: *look };
        ui.data_mut(|data| data.insert_temp(memory, drag));
        if held != Held::Board {
            select(session, held);
        }
    }
    if response.drag_stopped() {
        session.let_go();
        wishes.extend(super::pages::put_down(session));
    }
    let delta = response.drag_delta();
    if !response.dragged() {
        return;
    }
    let (Some(drag), Some(pos)) =
        (ui.data(|data| data.get_temp::<Drag>(memory)), response.interact_pointer_pos())
    else {
        return;
    };
    if drag.held != Held::Board {
        *look = drag.look;
    }
    let by_px = Vec2::new(f64::from(delta.x), f64::from(delta.y)) * board.scale;
    if delta == egui::Vec2::ZERO {
        return;
    }
    if let Some(command) = pulled(session, &drag, place_at(look, pos), by_px, look) {
        wishes.push(Wish::in_gesture(command, drag.gesture));
    }
}

/// The flaw that was drawn becomes one of the cloth's.
fn flaw_drawn(session: &mut Session) -> Option<Wish> {
    let flaw = session.desk.flaw.take()?.flaw()?;
    let mut cloth = session.open.plan().cloth()?.clone();
    cloth.flaws.push(flaw);
    Some(Wish::of(Command::SetCloth(session.open.plan().on_table, cloth)))
}

fn select(session: &mut Session, held: Held) {
    match &held {
        Held::Mark(mark) => session.floor.active_mark = *mark,
        Held::Page(page) => {
            if let Some(intake) = &mut session.desk.intake {
                intake.hold_page(*page);
            }
            return;
        }
        Held::Board => {
            session.desk.held = None;
            return;
        }
        _ => {}
    }
    session.desk.held = Some(held);
}

/// What a drag to `to` asks for; the board itself is moved at once.
fn pulled(session: &mut Session, drag: &Drag, to: Point, by_px: Vec2, look: &mut Look) -> Option<Command> {
    let by_mm = Vec2::new(by_px.x, -by_px.y) / look.px_per_mm;
    let open = &session.open;
    match &drag.held {
        Held::Board => {
            look.drag(by_px);
            session.desk.looks.keep(session.desk.stop, *look);
            None
        }
        Held::Page(_) => {
            // Its lines follow the pointer; it is put right when it is let go.
            if let Some(pulled) = session.desk.intake.as_mut().and_then(|intake| intake.pulled.as_mut()) {
                pulled.by = to - drag.from;
            }
            None
        }
        Held::Mark(mark) if session.floor.work.is_some() => {
            // The light of a mark that is sought: on the board it goes where the pointer is.
            let aim = open.aim().good.as_ref()?;
            let at = aim.picture_of_cloth(to)?;
            let seek = session.floor.work.as_deref_mut()?.seek_mut();
            if seek.active() != *mark {
                seek.choose(*mark).ok()?;
            }
            session.drag_light(at);
            None
        }
        Held::Mark(mark) => {
            let pick = open.measured()?.marks.get(*mark)?.picture;
            let at_px = match &open.aim().good {
                Some(aim) => {
                    let lies = aim.surface_of(pick.into())?;
                    aim.picture_of(lies + by_mm)?
                }
                // Without an aim the board shows the picture itself, one mm a px.
                None => Point::new(pick.0 + by_mm.x, pick.1 - by_mm.y),
            };
            Some(Command::PlaceMark { mark: *mark, at_px })
        }
        Held::Place(..) | Held::Stand => {
            let by_mm = to - drag.from;
            match &drag.before {
                Before::Place(place) if open.stays(&place.piece, place.copy) => None,
                Before::Place(place) => {
                    let cloth_from_surface = open.stand().surface_from_cloth().inverse();
                    let on_cloth = cloth_from_surface * by_mm.to_point() - cloth_from_surface * Point::ORIGIN;
                    let moved = Place { at: rounded(place.at + on_cloth), ..place.clone() };
                    // On a print it goes to the nearest place where its mates or its centre agree.
                    let laid = open.evaluated().laid(open.plan());
                    Some(Command::SetPlace(laid.map_or(moved.clone(), |laid| snapped(&moved, &laid))))
                }
                Before::Stand(stand) => {
                    Some(Command::SetStand(Stand { at: rounded(stand.at + by_mm), ..*stand }))
                }
                Before::Amount(_) | Before::Nothing => None,
            }
        }
        Held::Edge(_) | Held::BalanceLine(_) | Held::Dart(_) => {
            let amount = Amount::of(session, &drag.held, drag.from);
            let (Some(amount), Before::Amount(before_mm)) = (amount, &drag.before) else {
                // An edge that no amount belongs to: the board moves.
                look.drag(by_px);
                session.desk.looks.keep(session.desk.stop, *look);
                return None;
            };
            // Whole millimetres: nobody drags finer, and the list stays readable.
            let mm = (before_mm + (to - drag.from).dot(amount.grows)).round();
            Some(match amount.set(&Length::from_mm(mm)) {
                (Some(id), record) => Command::ChangeAlteration(id, record),
                (None, _) if mm == 0.0 => return None,
                (None, record) => Command::AddAlteration(record),
            })
        }
    }
}

fn before(session: &Session, held: &Held, from: Point) -> Before {
    match held {
        Held::Place(piece, copy) => {
            let lay = &session.open.plan().lay;
            let place = lay.iter().find(|at| &at.piece == piece && at.copy == *copy);
            place.map_or(Before::Nothing, |place| Before::Place(place.clone()))
        }
        Held::Stand => Before::Stand(session.open.stand()),
        Held::Edge(_) | Held::BalanceLine(_) | Held::Dart(_) => {
            Amount::of(session, held, from).map_or(Before::Nothing, |amount| Before::Amount(amount.mm()))
        }
        Held::Mark(_) | Held::Page(_) | Held::Board => Before::Nothing,
    }
}

/// To tenths of a millimetre: finer is no hand's.
fn rounded(place: Point) -> Point {
    Point::new((10.0 * place.x).round() / 10.0, (10.0 * place.y).round() / 10.0)
}

/// What lies under a place of the board.
fn held_at(session: &Session, place: Point, mark_reach: f64, line_reach: f64) -> Held {
    let held = match session.desk.stop {
        Stop::Aim => mark_at(session, place, mark_reach),
        // What is tried on is taken or left as a whole.
        Stop::Lay if super::scenes::found(session).is_some() => None,
        Stop::Lay => copy_at(session, place).map(|(piece, copy)| Held::Place(piece, copy)),
        Stop::Cut => {
            session.open.aim().good.as_ref().and_then(|_| copy_at(session, place)).map(|_| Held::Stand)
        }
        Stop::Body | Stop::Alter => line_at(session, place, line_reach),
        // Only the page that was picked: anywhere else the board is moved.
        Stop::Pattern => session.desk.intake.as_ref().and_then(|intake| {
            let picked = intake.picked_page()?;
            let under = intake.frames().any(|(page, frame)| page == picked && frame.contains(place));
            under.then_some(Held::Page(picked))
        }),
        Stop::Cloth | Stop::Sheet => None,
    };
    held.unwrap_or(Held::Board)
}

fn mark_at(session: &Session, place: Point, reach: f64) -> Option<Held> {
    let measured = session.open.measured()?;
    let aim = session.open.aim().good.as_ref();
    if let (Some(work), Some(aim)) = (&session.floor.work, aim) {
        let lit = work.seek().picks().iter().map(|&pick| aim.cloth_of(pick));
        let gaps = lit.enumerate().filter_map(|(mark, at)| Some((mark, at?.distance(place))));
        let (mark, gap) = gaps.min_by(|a, b| a.1.total_cmp(&b.1))?;
        return (gap <= reach).then_some(Held::Mark(mark));
    }
    let height = f64::from(measured.picture_size.1);
    let distances = measured.marks.iter().enumerate().filter_map(|(index, mark)| {
        let at = match aim {
            Some(aim) => aim.surface_of(mark.picture.into())?,
            None => Point::new(mark.picture.0, height - mark.picture.1),
        };
        Some((index, at.distance(place)))
    });
    let (mark, distance) = distances.min_by(|a, b| a.1.total_cmp(&b.1))?;
    (distance <= reach).then_some(Held::Mark(mark))
}

fn copy_at(session: &Session, place: Point) -> Option<(PieceId, u32)> {
    let open = &session.open;
    let surface_from_cloth = open.stand().surface_from_cloth();
    let over = open.plan().lay.iter().rev().find(|laid| {
        let Some(piece) = open.evaluated().piece(&laid.piece) else {
            return false;
        };
        let motion = surface_from_cloth * laid.cloth_from_piece(&piece.altered);
        let inside = motion.inverse() * place;
        let mirrored = piece.altered.mirror_about_fold().map(|mirror| mirror * inside);
        let outline = piece.cutting_path.clone().unwrap_or_else(|| piece.altered.outline());
        outline.winding(inside) != 0 || mirrored.is_some_and(|place| outline.winding(place) != 0)
    });
    over.map(|laid| (laid.piece.clone(), laid.copy))
}

/// The nearest line of the piece on the board. A lengthen/shorten line and a dart come before the edge that they
/// end on.
fn line_at(session: &Session, place: Point, reach: f64) -> Option<Held> {
    let piece = &session.open.evaluated().pieces.get(session.desk.piece)?.altered;
    let off = |line: Line| line.nearest(place, 1e-3).distance_sq.sqrt();
    let darts = piece.darts.iter().filter_map(|dart| {
        let mouth = piece.dart_mouth(&dart.id)?;
        let legs = [mouth.curve.start(), mouth.curve.end()].map(|end| off(Line::new(dart.apex, end)));
        Some((Held::Dart(dart.id.clone()), legs[0].min(legs[1])))
    });
    let lines =
        piece.balance_lines.iter().map(|balance| (Held::BalanceLine(balance.id.clone()), off(balance.line)));
    let edges = piece.edges.iter().map(|edge| (Held::Edge(edge.id.clone()), edge.curve.nearest(place).1));
    let near = |found: &(Held, f64)| found.1 <= reach;
    let inner = darts.chain(lines).filter(near).min_by(|a, b| a.1.total_cmp(&b.1));
    let found = inner.or_else(|| edges.filter(near).min_by(|a, b| a.1.total_cmp(&b.1)));
    found.map(|(held, _)| held)
}
