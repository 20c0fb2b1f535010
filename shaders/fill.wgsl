// Filled shapes: triangles on the surface in one colour each. The rasteriser clips what lies behind the
// horizon, because w is carried. Edges are hard here; a thin stroke along the outline softens them.

struct FillIn {
    @location(0) surface_mm: vec2<f32>,
    @location(1) colour: vec4<f32>,
}

struct FillOut {
    @builtin(position) position: vec4<f32>,
    @location(0) @interpolate(flat) colour: vec4<f32>,
}

@vertex
fn fill_vertex(vertex: FillIn) -> FillOut {
    return FillOut(clip_from_lifted(lifted(vertex.surface_mm)), shown(vertex.colour));
}

@fragment
fn fill_fragment(fill: FillOut) -> @location(0) vec4<f32> {
    return fill.colour;
}
