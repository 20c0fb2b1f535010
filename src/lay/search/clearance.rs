//! One question for both engines: is a piece clear of all others at a place? For measuring one engine against the
//! other, and for checking each by the other.

use super::hazards::APART_MM;
use super::layout::Layout;
use super::model::Model;
use super::outcome::Placed;
use super::problem::{Problem, SearchError};
use super::quadtree::Quadtree;
use crate::geometry::Point;

/// Which engine answers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Engine {
    /// The depth fields, exact in f64.
    Fields,
    /// The quadtree of jagua-rs, in f32; it keeps some thousandths of a millimetre more room.
    Quadtree,
}

/// A lay out of which one piece was taken, to be asked where that may lie.
#[derive(Debug, Clone)]
pub struct Clearance {
    model: Model,
    layout: Layout,
    quadtree: Quadtree,
    piece: usize,
}

impl Clearance {
    /// A lay without its place number `lifted`. Places are those of an outcome for the problem, in its order.
    ///
    /// # Errors
    /// [`SearchError`] when the problem is none, or the places are not for it.
    pub fn new(problem: &Problem, places: &[Placed], lifted: usize) -> Result<Self, SearchError> {
        let model = Model::new(problem)?;
        if places.len() != model.wanted || lifted >= places.len() {
            return Err(SearchError::Nothing);
        }
        let list = model.list_fields(usize::MAX).ok_or(SearchError::TooMany)?;
        model.make_fields(list, 1, &|| true);
        let mut layout = Layout::new(&model);
        for (piece, place) in places.iter().enumerate() {
            let item = &problem.items[place.item];
            layout.shapes[piece] = item.poses.iter().position(|pose| *pose == place.pose).unwrap_or_default();
            layout.at[piece] = place.at - layout.shape(&model, piece).origin;
        }
        let length = 2.0 * layout.used(&model);
        let mut quadtree = Quadtree::new(&model, length).ok_or(SearchError::TooMany)?;
        for piece in (0..model.pieces.len()).filter(|piece| *piece != lifted) {
            quadtree.lay(&model, &layout, piece);
        }
        Ok(Self { model, layout, quadtree, piece: lifted })
    }

    /// Whether the lifted piece, in one of its item's poses and with its origin at a place, would be clear of all
    /// others. Edges of the cloth are not asked for.
    pub fn is_clear(&mut self, by: Engine, pose: usize, at: Point) -> bool {
        let kind = self.model.pieces[self.piece];
        let Some(shape) = self.model.kinds[kind].shapes.get(pose) else { return false };
        let at = at - shape.origin;
        match by {
            Engine::Quadtree => self.quadtree.is_free(kind, pose, at),
            Engine::Fields => {
                (0..self.model.pieces.len()).filter(|other| *other != self.piece).all(|other| {
                    let (lies, other) = (self.layout.at[other], self.layout.shape(&self.model, other));
                    let v = at - lies;
                    if v.x.abs() >= shape.half.x + other.half.x + self.model.gap
                        || v.y.abs() >= shape.half.y + other.half.y + self.model.gap
                    {
                        return true;
                    }
                    self.model.pair(other, shape).is_none_or(|pair| pair.depth(v) <= APART_MM)
                })
            }
        }
    }
}
