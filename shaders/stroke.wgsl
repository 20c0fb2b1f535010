// Lines: one rectangle of pixels for each straight stretch of a flattened path, coverage computed for each
// pixel from its distance to the stretch.
//
// Coverage is the line (a bar of the stroke's width) seen through a tent one pixel wide to either side: unlike
// a box it keeps the place of a line inside a pixel, so that the centre of the light is the centre of the line
// within some thousandths of a pixel. Along a slanted line the tent's foot shrinks with the larger component
// m of the direction, since the sum over a row or column is what the eye and a measurement take.
//
// Joins: neighbouring stretches share the plane that halves their angle; each keeps the pixels on its own
// side, so no pixel is lit twice and a corner comes out sharp. Where the point would reach further than
// MITRE_LIMIT half widths it is cut off half a width beyond the corner.
// Ends are flat. Dashes are counted by arc length in mm; the place along the stretch is perspective-correct.
// What lies behind the horizon has been cut off before it comes here.

const MITRE_LIMIT: f32 = 4.0; // SVG 2's default for stroke-miterlimit: angles down to 29° stay sharp
const TENT_PX: f32 = 1.25; // reach of the tent beyond the line's edge, with room for rounding
const UNCUT: f32 = 1e9; // a cut so far away that it cuts nothing

struct StrokeIn {
    @builtin(vertex_index) corner: u32,
    // The stretch in mm, with its neighbours; a neighbour equal to the end means a free end.
    @location(0) before_from: vec4<f32>,
    @location(1) to_after: vec4<f32>,
    // Arc length at both ends of the stretch, and the first and last arc length that are lit at all, in mm.
    @location(2) arc: vec4<f32>,
    // Width in mm, least width in px, length of light and of dark in mm (dark 0: unbroken).
    @location(3) look: vec4<f32>,
    @location(4) colour: vec4<f32>,
}

struct StrokeOut {
    @builtin(position) position: vec4<f32>,
    @location(0) @interpolate(flat) ends: vec4<f32>, // from, to in px
    @location(1) @interpolate(flat) planes: vec4<f32>, // normals of the two joints' planes
    @location(2) @interpolate(flat) cut_from: vec3<f32>, // direction, distance in px
    @location(3) @interpolate(flat) cut_to: vec3<f32>,
    @location(4) @interpolate(flat) half_and_w: vec4<f32>, // half widths in px, w, at both ends
    @location(5) @interpolate(flat) arc: vec4<f32>,
    @location(6) @interpolate(flat) rhythm: vec4<f32>, // light, dark in mm; free end at from, at to (1 or 0)
    @location(7) @interpolate(flat) colour: vec4<f32>,
}

struct Joint {
    plane: vec2<f32>,
    cut: vec3<f32>,
    extension: f32, // how far the rectangle must reach beyond the end, in px
}

fn direction(v: vec2<f32>) -> vec2<f32> {
    let size = length(v);
    return select(vec2<f32>(1.0, 0.0), v / size, size > 1e-9);
}

fn joint(before: vec2<f32>, at: vec2<f32>, after: vec2<f32>, half_px: f32) -> Joint {
    let arriving = direction(at - before);
    let leaving = direction(after - at);
    let sum = arriving + leaving;
    let size = length(sum); // twice the cosine of half the turn
    let reach = half_px + TENT_PX;
    // A path that turns back on itself has no halving plane; each stretch then keeps one side of the line.
    var plane = vec2<f32>(-arriving.y, arriving.x);
    if size > 1e-3 {
        plane = sum / size;
    }
    if size * MITRE_LIMIT < 2.0 {
        return Joint(plane, vec3<f32>(direction(arriving - leaving), half_px), 1.5 * reach);
    }
    let slope = sqrt(max(4.0 - size * size, 0.0)) / size;
    return Joint(plane, vec3<f32>(0.0, 0.0, UNCUT), slope * reach);
}

// Half the width in px at a place of the surface: the width there under the derivative of map and lens, across the line.
fn half_width(surface_mm: vec2<f32>, along_mm: vec2<f32>, look: vec4<f32>) -> f32 {
    let h = aim.picture_from_surface;
    let place = straight(surface_mm);
    let px = place.xy / place.z;
    let horizon = vec2<f32>(h[0].z, h[1].z);
    let slope = lens_slope(px);
    let stretch_x = slope * (h[0].xy - px * horizon.x) / place.z;
    let stretch_y = slope * (h[1].xy - px * horizon.y) / place.z;
    let area = abs(stretch_x.x * stretch_y.y - stretch_x.y * stretch_y.x);
    let along = length(stretch_x * along_mm.x + stretch_y * along_mm.y);
    return 0.5 * max(look.x * area / max(along, 1e-12), look.y);
}

@vertex
fn stroke_vertex(stroke: StrokeIn) -> StrokeOut {
    let from_lifted = lifted(stroke.before_from.zw);
    let to_lifted = lifted(stroke.to_after.xy);
    let before_lifted = lifted(stroke.before_from.xy);
    let after_lifted = lifted(stroke.to_after.zw);
    let start = from_lifted.xy / from_lifted.z;
    let end = to_lifted.xy / to_lifted.z;
    let along_mm = direction(stroke.to_after.xy - stroke.before_from.zw);
    let half_from = half_width(stroke.before_from.zw, along_mm, stroke.look);
    let half_to = half_width(stroke.to_after.xy, along_mm, stroke.look);

    let free_from = all(stroke.before_from.xy == stroke.before_from.zw);
    let free_to = all(stroke.to_after.xy == stroke.to_after.zw);
    var first = Joint(vec2<f32>(0.0), vec3<f32>(0.0, 0.0, UNCUT), TENT_PX);
    var last = first;
    if !free_from {
        first = joint(before_lifted.xy / before_lifted.z, start, end, half_from);
    }
    if !free_to {
        last = joint(start, end, after_lifted.xy / after_lifted.z, half_to);
    }

    let along = direction(end - start);
    let across = vec2<f32>(-along.y, along.x);
    let reach = max(half_from, half_to) + TENT_PX;
    var place = select(end + along * last.extension, start - along * first.extension, stroke.corner < 2u);
    place += across * select(reach, -reach, (stroke.corner & 1u) == 0u);

    var out: StrokeOut;
    out.position = clip_from_lifted(vec3<f32>(place, 1.0));
    out.ends = vec4<f32>(start, end);
    out.planes = vec4<f32>(first.plane, last.plane);
    out.cut_from = first.cut;
    out.cut_to = last.cut;
    out.half_and_w = vec4<f32>(half_from, half_to, from_lifted.z, to_lifted.z);
    out.arc = stroke.arc;
    out.rhythm = vec4<f32>(stroke.look.zw, select(0.0, 1.0, free_from), select(0.0, 1.0, free_to));
    out.colour = shown(stroke.colour);
    return out;
}

// Share of a unit tent (foot from -1 to 1) that lies left of x.
fn tent_left_of(x: f32) -> f32 {
    let c = clamp(x, -1.0, 1.0);
    let rest = 1.0 - abs(c);
    return select(1.0 - 0.5 * rest * rest, 0.5 * rest * rest, c < 0.0);
}

fn tent_between(place: f32, low: f32, high: f32, foot: f32) -> f32 {
    return tent_left_of((place - low) / foot) - tent_left_of((place - high) / foot);
}

fn cut_off(cut: vec3<f32>, offset: vec2<f32>) -> f32 {
    if cut.z >= UNCUT {
        return 1.0;
    }
    let foot = max(abs(cut.x), abs(cut.y));
    return tent_left_of((cut.z - dot(offset, cut.xy)) / max(foot, 1e-6));
}

// Light along the line at an arc length; `foot` is the tent's foot in mm there.
fn lit_along(arc: f32, span: vec2<f32>, light: f32, dark: f32, foot: f32) -> f32 {
    if dark <= 0.0 {
        return tent_between(arc, span.x, span.y, foot);
    }
    let period = light + dark;
    if foot >= period {
        // Dashes finer than the tent melt into their mean.
        return light / period * tent_between(arc, span.x, span.y, foot);
    }
    let here = floor(arc / period);
    var lit = 0.0;
    for (var step = -1.0; step < 1.5; step += 1.0) {
        let low = max((here + step) * period, span.x);
        let high = min((here + step) * period + light, span.y);
        if high > low {
            lit += tent_between(arc, low, high, foot);
        }
    }
    return lit;
}

@fragment
fn stroke_fragment(stroke: StrokeOut) -> @location(0) vec4<f32> {
    let start = stroke.ends.xy;
    let end = stroke.ends.zw;
    let pixel = stroke.position.xy;
    let free_from = stroke.rhythm.z > 0.5;
    let free_to = stroke.rhythm.w > 0.5;
    if !free_from && dot(pixel - start, stroke.planes.xy) < 0.0 {
        discard;
    }
    if !free_to && dot(pixel - end, stroke.planes.zw) >= 0.0 {
        discard;
    }

    let size = max(length(end - start), 1e-9);
    let along = direction(end - start);
    let foot_px = max(abs(along.x), abs(along.y));
    let passed = dot(pixel - start, along);
    let distance = dot(pixel - start, vec2<f32>(-along.y, along.x));
    let t = clamp(passed / size, 0.0, 1.0);
    let half_px = mix(stroke.half_and_w.x, stroke.half_and_w.y, t);
    var lit = tent_between(distance, -half_px, half_px, foot_px);

    let w_from = stroke.half_and_w.z;
    let w_to = stroke.half_and_w.w;
    let w = w_to + t * (w_from - w_to);
    let mm_per_px = (stroke.arc.y - stroke.arc.x) / size * w_from * w_to / (w * w);
    var arc = mix(stroke.arc.x, stroke.arc.y, t * w_from / w);
    if (passed < 0.0 && free_from) || (passed > size && free_to) {
        arc += (passed - t * size) * mm_per_px;
    }
    lit *= lit_along(arc, stroke.arc.zw, stroke.rhythm.x, stroke.rhythm.y, max(foot_px * mm_per_px, 1e-9));
    lit *= cut_off(stroke.cut_from, pixel - start) * cut_off(stroke.cut_to, pixel - end);
    return stroke.colour * lit;
}
