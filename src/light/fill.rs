//! Filled shapes: the inside of a path as triangles in mm, by lyon.
//!
//! The path is flattened first (kurbo, f64) and lyon is given straight edges only, so that the soft rim that
//! is stroked along the outline lies exactly on the triangles' edge.

use super::stroke::{Polyline, pair};
use lyon::math::point;
use lyon::path::Path;
use lyon::tessellation::{
    BuffersBuilder, FillOptions, FillTessellator, FillVertex, FillVertexConstructor, VertexBuffers,
};

/// A corner of a triangle as the shader takes it (`shaders/fill.wgsl`, `FillIn`).
#[repr(C)]
#[derive(Debug, Clone, Copy, Default, PartialEq, bytemuck::Pod, bytemuck::Zeroable)]
pub(super) struct Corner {
    /// mm from the drawing's origin.
    pub at: [f32; 2],
    /// Linear, premultiplied.
    pub colour: [f32; 4],
}

/// Triangles with shared corners.
pub(super) type Mesh = VertexBuffers<Corner, u32>;

/// Gives every corner of one shape its colour.
struct Dye([f32; 4]);

impl FillVertexConstructor<Corner> for Dye {
    fn new_vertex(&mut self, vertex: FillVertex<'_>) -> Corner {
        Corner { at: vertex.position().to_array(), colour: self.0 }
    }
}

/// Appends the inside of `runs` (non-zero winding; open runs are closed). Answers whether that worked: lyon
/// gives up on shapes that it cannot hold in f32.
pub(super) fn append(
    runs: &[Polyline],
    colour: [f32; 4],
    tessellator: &mut FillTessellator,
    mesh: &mut Mesh,
) -> bool {
    let mut builder = Path::builder();
    for run in runs {
        let mut points = run.points.iter().map(|&at| {
            let [x, y] = pair(at);
            point(x, y)
        });
        if let Some(first) = points.next() {
            builder.begin(first);
            for next in points {
                builder.line_to(next);
            }
            builder.close();
        }
    }
    let options = FillOptions::non_zero();
    let mut output = BuffersBuilder::new(mesh, Dye(colour));
    tessellator.tessellate_path(&builder.build(), &options, &mut output).is_ok()
}
