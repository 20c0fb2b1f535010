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

// What the fragments of a stretch share. It is packed, because software keeps it for each triangle: of a frame full of
// letters that is most of the memory. An unbroken line that is closed needs the first three only.
struct UnbrokenOut {
    @builtin(position) position: vec4<f32>,
    @location(0) @interpolate(flat) ends: vec4<f32>, // from, to in px
    @location(1) @interpolate(flat) joints: vec4<u32>, // plane's normal at from, at to; cut's direction at from, at to; 0: none
    @location(2) @interpolate(flat) look: vec4<u32>, // bits of the half widths in px at both ends; colour as two pairs
}

struct StrokeOut {
    @builtin(position) position: vec4<f32>,
    @location(0) @interpolate(flat) ends: vec4<f32>,
    @location(1) @interpolate(flat) joints: vec4<u32>,
    @location(2) @interpolate(flat) look: vec4<u32>,
    @location(3) @interpolate(flat) arc: vec4<f32>,
    @location(4) @interpolate(flat) rhythm: vec4<f32>, // light, dark in mm; w at both ends
}

struct Joint {
    plane: vec2<f32>, // a unit vector; 0 at a free end
    cut: vec2<f32>, // a unit vector; 0 where nothing is cut off
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
        return Joint(plane, direction(arriving - leaving), 1.5 * reach);
    }
    let slope = sqrt(max(4.0 - size * size, 0.0)) / size;
    return Joint(plane, vec2<f32>(0.0), slope * reach);
}

// Half the width in px at a place of the surface: the width there under the derivative of map and lens, across the line.
fn half_width(surface_mm: vec2<f32>, along_mm: vec2<f32>, look: vec4<f32>) -> f32 {
    if look.x == 0.0 {
        return 0.5 * look.y; // a rim: as wide everywhere
    }
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

// A stretch in pixels.
struct Lit {
    start: vec2<f32>,
    end: vec2<f32>,
    w: vec2<f32>,
    half_px: vec2<f32>,
    first: Joint,
    last: Joint,
    place: vec2<f32>, // of the rectangle's corner
}

fn lit(stroke: StrokeIn) -> Lit {
    let from_lifted = lifted(stroke.before_from.zw);
    let to_lifted = lifted(stroke.to_after.xy);
    let start = from_lifted.xy / from_lifted.z;
    let end = to_lifted.xy / to_lifted.z;
    let along_mm = direction(stroke.to_after.xy - stroke.before_from.zw);
    let half_from = half_width(stroke.before_from.zw, along_mm, stroke.look);
    let half_to = half_width(stroke.to_after.xy, along_mm, stroke.look);

    var first = Joint(vec2<f32>(0.0), vec2<f32>(0.0), TENT_PX);
    var last = first;
    if any(stroke.before_from.xy != stroke.before_from.zw) {
        let before = lifted(stroke.before_from.xy);
        first = joint(before.xy / before.z, start, end, half_from);
    }
    if any(stroke.to_after.xy != stroke.to_after.zw) {
        let after = lifted(stroke.to_after.zw);
        last = joint(start, end, after.xy / after.z, half_to);
    }

    let along = direction(end - start);
    let across = vec2<f32>(-along.y, along.x);
    let reach = max(half_from, half_to) + TENT_PX;
    var place = select(end + along * last.extension, start - along * first.extension, stroke.corner < 2u);
    place += across * select(reach, -reach, (stroke.corner & 1u) == 0u);
    let w = vec2<f32>(from_lifted.z, to_lifted.z);
    return Lit(start, end, w, vec2<f32>(half_from, half_to), first, last, place);
}

fn packed_joints(lit: Lit) -> vec4<u32> {
    return vec4<u32>(
        pack2x16snorm(lit.first.plane),
        pack2x16snorm(lit.last.plane),
        pack2x16snorm(lit.first.cut),
        pack2x16snorm(lit.last.cut),
    );
}

fn packed_look(lit: Lit, colour: vec4<f32>) -> vec4<u32> {
    let light = shown(colour);
    return vec4<u32>(bitcast<vec2<u32>>(lit.half_px), pack2x16unorm(light.rg), pack2x16unorm(light.ba));
}

@vertex
fn unbroken_vertex(stroke: StrokeIn) -> UnbrokenOut {
    let lit = lit(stroke);
    return UnbrokenOut(
        clip_from_lifted(vec3<f32>(lit.place, 1.0)),
        vec4<f32>(lit.start, lit.end),
        packed_joints(lit),
        packed_look(lit, stroke.colour),
    );
}

@vertex
fn stroke_vertex(stroke: StrokeIn) -> StrokeOut {
    let lit = lit(stroke);
    return StrokeOut(
        clip_from_lifted(vec3<f32>(lit.place, 1.0)),
        vec4<f32>(lit.start, lit.end),
        packed_joints(lit),
        packed_look(lit, stroke.colour),
        stroke.arc,
        vec4<f32>(stroke.look.zw, lit.w),
    );
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

fn cut_off(packed: u32, half_px: f32, offset: vec2<f32>) -> f32 {
    if packed == 0u {
        return 1.0;
    }
    let cut = unpack2x16snorm(packed);
    let foot = max(abs(cut.x), abs(cut.y));
    return tent_left_of((half_px - dot(offset, cut)) / max(foot, 1e-6));
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

// Where a pixel lies along and beside a stretch, and its light there but for the rhythm.
struct Seen {
    size: f32, // length of the stretch in px
    passed: f32, // px along it, from its beginning
    t: f32, // the same as a part of it, no further than its ends
    foot_px: f32,
    lit: f32,
}

fn seen(pixel: vec2<f32>, ends: vec4<f32>, joints: vec4<u32>, look: vec4<u32>) -> Seen {
    let start = ends.xy;
    let end = ends.zw;
    // The pixels beyond a joint are the neighbour's; at a free end the plane is none.
    let is_before = dot(pixel - start, unpack2x16snorm(joints.x)) < 0.0;
    let is_behind = joints.y != 0u && dot(pixel - end, unpack2x16snorm(joints.y)) >= 0.0;
    if is_before || is_behind {
        discard;
    }
    let size = max(length(end - start), 1e-9);
    let along = direction(end - start);
    let foot_px = max(abs(along.x), abs(along.y));
    let passed = dot(pixel - start, along);
    let distance = dot(pixel - start, vec2<f32>(-along.y, along.x));
    let t = clamp(passed / size, 0.0, 1.0);
    let halves = bitcast<vec2<f32>>(look.xy);
    let half_px = mix(halves.x, halves.y, t);
    var lit = tent_between(distance, -half_px, half_px, foot_px);
    lit *= cut_off(joints.z, halves.x, pixel - start) * cut_off(joints.w, halves.y, pixel - end);
    return Seen(size, passed, t, foot_px, lit);
}

fn colour_of(look: vec4<u32>) -> vec4<f32> {
    return vec4<f32>(unpack2x16unorm(look.z), unpack2x16unorm(look.w));
}

@fragment
fn unbroken_fragment(stroke: UnbrokenOut) -> @location(0) vec4<f32> {
    let seen = seen(stroke.position.xy, stroke.ends, stroke.joints, stroke.look);
    return colour_of(stroke.look) * seen.lit;
}

@fragment
fn stroke_fragment(stroke: StrokeOut) -> @location(0) vec4<f32> {
    let seen = seen(stroke.position.xy, stroke.ends, stroke.joints, stroke.look);
    let w_from = stroke.rhythm.z;
    let w_to = stroke.rhythm.w;
    let w = w_to + seen.t * (w_from - w_to);
    let mm_per_px = (stroke.arc.y - stroke.arc.x) / seen.size * w_from * w_to / (w * w);
    var arc = mix(stroke.arc.x, stroke.arc.y, seen.t * w_from / w);
    let is_beyond = (seen.passed < 0.0 && stroke.joints.x == 0u) || (seen.passed > seen.size && stroke.joints.y == 0u);
    if is_beyond {
        arc += (seen.passed - seen.t * seen.size) * mm_per_px;
    }
    let foot_mm = max(seen.foot_px * mm_per_px, 1e-9);
    let lit = seen.lit * lit_along(arc, stroke.arc.zw, stroke.rhythm.x, stroke.rhythm.y, foot_mm);
    return colour_of(stroke.look) * lit;
}
