//! What is read of a page: its lines and words in millimetres, each in its layer.

use super::super::drawing::{Stroke, Words};
use crate::finding::Finding;
use crate::geometry::Rect;

/// A page as it is drawn, before its lines are cut at what the page shows.
#[derive(Debug, Clone, PartialEq)]
pub struct Page {
    /// Counted from 1.
    pub number: usize,
    /// What a viewer shows, in mm: the lower left corner at the origin, turned as the page says.
    pub frame: Rect,
    /// The layers that the page uses; the first is the page itself, every other stands after the one around it.
    pub layers: Vec<PageLayer>,
    /// The lines.
    pub lines: Vec<PageLine>,
    /// The words, each with its layer.
    pub words: Vec<(usize, Words)>,
    /// What was left out or could not be read.
    pub findings: Vec<Finding>,
}

/// A layer as a page uses it.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct PageLayer {
    /// The number of its object in the file, which tells layers of one name apart; 0 for the page itself.
    pub object: u32,
    /// Its name.
    pub name: Option<String>,
    /// The layer around it.
    pub parent: Option<usize>,
    /// Whether a viewer opens the file without it.
    pub hidden: bool,
}

/// A line of a page.
#[derive(Debug, Clone, PartialEq)]
pub struct PageLine {
    /// Its layer.
    pub layer: usize,
    /// The line, whole.
    pub stroke: Stroke,
    /// What shows of it, where that is not all.
    pub window: Option<Rect>,
}
