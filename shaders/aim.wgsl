// The aim: where a place on the surface falls in the picture. Put before every other shader of this folder,
// with what else they share.
//
// Space: surface millimetres, counted from the drawing's own origin, to picture pixels (x right, y down, the
// middle of the first pixel at 0.5, 0.5). The matrix is composed in f64 and cast once.
// A lens that bends the picture belongs into `lifted`, and nowhere else.

struct Aim {
    picture_from_surface: mat3x3<f32>,
    picture_px: vec2<f32>,
}

@group(0) @binding(0) var<uniform> aim: Aim;

// Homogeneous pixel position: (x·w, y·w, w), w > 0 before the lens.
fn lifted(surface_mm: vec2<f32>) -> vec3<f32> {
    return aim.picture_from_surface * vec3<f32>(surface_mm, 1.0);
}

// A homogeneous pixel position as a clip position, w carried.
fn clip_from_lifted(place: vec3<f32>) -> vec4<f32> {
    return vec4<f32>(
        2.0 * place.x / aim.picture_px.x - place.z,
        place.z - 2.0 * place.y / aim.picture_px.y,
        0.0,
        place.z,
    );
}

// Whether the target keeps sRGB numbers without converting by itself; such a target is for looking at only.
override encoded: bool = false;

// A linear colour as the target wants it (IEC 61966-2-1).
fn shown(colour: vec4<f32>) -> vec4<f32> {
    let light = clamp(colour.rgb, vec3<f32>(0.0), vec3<f32>(1.0));
    let bright = 1.055 * pow(light, vec3<f32>(1.0 / 2.4)) - 0.055;
    let curved = select(bright, 12.92 * light, light <= vec3<f32>(0.0031308));
    return select(colour, vec4<f32>(curved, colour.a), encoded);
}
