//! The garden coat, drafted from its formulas: an invented sleeveless coat in five sizes, made for this project.
//!
//! The draft is written apart from the library: it uses the library's types to hold points, and none of its
//! geometry to find them. Millimetres, the right half, x = 0 the centre, y = 0 the waist, y up, without
//! allowances. Size step `i` = 0…4 is bust 840 + 40 i, waist 680 + 40 i, hip 920 + 40 i.

use chalkbeam::geometry::{CircularArc, CubicBez, Point, Segment, Vec2};

/// The sizes, named by the bust in centimetres.
pub(super) const SIZES: [&str; 5] = ["84", "88", "92", "96", "100"];

/// Angle of the side seam below the hip, and of the hem's sector.
const FLARE_DEGREES: f64 = 15.0;

/// The hem lies this far below the waist.
const HEM_BELOW_WAIST: f64 = 720.0;

/// The front edge lies this far beyond the centre front.
pub(super) const FRONT_EDGE: f64 = -30.0;

/// Widths of facings.
pub(super) const NECK_FACING: f64 = 60.0;
pub(super) const ARMHOLE_FACING: f64 = 45.0;
const FRONT_FACING_INNER: f64 = 55.0;

/// A drill hole lies this far inside the apex of its dart: about half an inch, common practice (from memory).
pub(super) const DRILL_FROM_APEX: f64 = 12.0;

/// Level of the line at which the coat is lengthened.
pub(super) const BALANCE_Y: f64 = 40.0;

/// d(α): the direction α degrees off straight down, towards the centre.
fn down(degrees: f64) -> Vec2 {
    let (sine, cosine) = degrees.to_radians().sin_cos();
    Vec2::new(-sine, -cosine)
}

/// A quarter turn to the left of `down`: outwards over the body turned inwards.
fn inward(degrees: f64) -> Vec2 {
    let along = down(degrees);
    Vec2::new(along.y, -along.x)
}

fn turned(point: Point, about: Point, angle: f64) -> Point {
    about + turned_vec(point - about, angle)
}

fn turned_vec(v: Vec2, angle: f64) -> Vec2 {
    let (sine, cosine) = angle.sin_cos();
    Vec2::new(v.x * cosine - v.y * sine, v.x * sine + v.y * cosine)
}

fn line(from: Point, to: Point) -> Segment {
    Segment::line(from, to)
}

fn cubic(p0: Point, p1: Point, p2: Point, p3: Point) -> CubicBez {
    CubicBez::new(p0, p1, p2, p3)
}

fn at(c: &CubicBez, t: f64) -> Point {
    let u = 1.0 - t;
    let sum = u * u * u * c.p0.to_vec2()
        + 3.0 * u * u * t * c.p1.to_vec2()
        + 3.0 * u * t * t * c.p2.to_vec2()
        + t * t * t * c.p3.to_vec2();
    sum.to_point()
}

fn speed(c: &CubicBez, t: f64) -> Vec2 {
    let u = 1.0 - t;
    3.0 * u * u * (c.p1 - c.p0) + 6.0 * u * t * (c.p2 - c.p1) + 3.0 * t * t * (c.p3 - c.p2)
}

fn acceleration(c: &CubicBez, t: f64) -> Vec2 {
    let (a, b) = ((c.p2 - c.p1) - (c.p1 - c.p0), (c.p3 - c.p2) - (c.p2 - c.p1));
    6.0 * (1.0 - t) * a + 6.0 * t * b
}

/// Length of a cubic up to a parameter, by Simpson's rule.
fn cubic_length(c: &CubicBez, until: f64) -> f64 {
    const STEPS: u32 = 2000;
    let h = until / f64::from(STEPS);
    let weight = |k: u32| match k {
        0 | STEPS => 1.0,
        k if k % 2 == 1 => 4.0,
        _ => 2.0,
    };
    let sum: f64 = (0..=STEPS).map(|k| weight(k) * speed(c, h * f64::from(k)).hypot()).sum();
    sum * h / 3.0
}

/// The curve at a constant distance to the left of a cubic, as cubics that agree with it in place and direction
/// where they meet, and within a thousandth of a millimetre between.
fn beside(c: &CubicBez, distance: f64) -> Vec<Segment> {
    const PIECES: u32 = 4;
    let h = 1.0 / f64::from(PIECES);
    let mut cubics = Vec::new();
    for k in 0..PIECES {
        let t = h * f64::from(k);
        fit_beside(c, distance, t, t + h, &mut cubics);
    }
    cubics
}

fn fit_beside(c: &CubicBez, distance: f64, from: f64, to: f64, cubics: &mut Vec<Segment>) {
    const WITHIN: f64 = 1e-3;
    let sample = |t: f64| {
        let (v, a) = (speed(c, t), acceleration(c, t));
        let length = v.hypot();
        let normal = Vec2::new(-v.y, v.x) / length;
        let curvature = v.cross(a) / length.powi(3);
        (at(c, t) + distance * normal, (1.0 - distance * curvature) * v)
    };
    let third = (to - from) / 3.0;
    let ((p0, v0), (p1, v1)) = (sample(from), sample(to));
    let fitted = CubicBez::new(p0, p0 + third * v0, p1 - third * v1, p1);
    let off = |u: f64| at(&fitted, u).distance(sample(from + u * (to - from)).0);
    if [0.25, 0.5, 0.75].map(off).iter().all(|off| *off < WITHIN) {
        cubics.push(Segment::Cubic(fitted));
    } else {
        let middle = 0.5 * (from + to);
        fit_beside(c, distance, from, middle, cubics);
        fit_beside(c, distance, middle, to, cubics);
    }
}

/// Every named point and curve of one size.
pub(super) struct Draft {
    pub(super) underarm: Point,
    pub(super) below_dart: Point,
    pub(super) hip: Point,
    pub(super) hem_side: Point,
    pub(super) hem_centre: Point,
    pub(super) hem_center_of_circle: Point,
    pub(super) side: CubicBez,
    pub(super) back_neck_centre: Point,
    pub(super) back_shoulder_neck: Point,
    pub(super) back_shoulder_tip: Point,
    pub(super) back_armhole: CubicBez,
    pub(super) back_neck: CubicBez,
    pub(super) apex: Point,
    pub(super) dart_lower: Point,
    pub(super) dart_upper: Point,
    pub(super) cap_tip: Point,
    pub(super) front_underarm: Point,
    pub(super) front_shoulder_neck: Point,
    pub(super) front_shoulder_tip: Point,
    pub(super) front_armhole: CubicBez,
    pub(super) front_neck: CubicBez,
    pub(super) front_neck_centre: Point,
    pub(super) shoulder: f64,
    /// Parameter of the side cubic at the waist level.
    waist: f64,
    i: f64,
}

impl Draft {
    /// Size step 0…4.
    pub(super) fn of(step: u8) -> Self {
        let i = f64::from(step);
        let underarm = Point::new(230.0 + 10.0 * i, 190.0 + i);
        let below_dart = underarm + 120.0 * down(4.0);
        let hip = Point::new(255.0 + 10.0 * i, -200.0);
        let flare = FLARE_DEGREES.to_radians();
        let handle = Vec2::new(-flare.sin(), flare.cos());
        let side = cubic(below_dart, below_dart + 100.0 * down(4.0), hip + 100.0 * handle, hip);
        let center = Point::new(0.0, -200.0 + hip.x / flare.tan());
        let radius = center.y + HEM_BELOW_WAIST;

        let shoulder = 112.0 + 2.0 * i;
        let slope = |degrees: f64| {
            let (sine, cosine) = f64::to_radians(degrees).sin_cos();
            Vec2::new(cosine, -sine)
        };
        let back_neck_centre = Point::new(0.0, 400.0 + 3.0 * i);
        let back_shoulder_neck = Point::new(75.0 + 1.5 * i, 422.0 + 3.0 * i);
        let back_shoulder_tip = back_shoulder_neck + shoulder * slope(18.0);

        let apex = Point::new(132.0 + 5.0 * i, 150.0 + i);
        let dart_angle = (13.0 + 0.5 * i).to_radians();
        let dart_lower = underarm + 80.0 * down(4.0);
        let dart_upper = turned(dart_lower, apex, dart_angle);
        let front_underarm = turned(underarm, apex, dart_angle);
        let front_shoulder_neck = Point::new(73.0 + 1.5 * i, 440.0 + 4.0 * i);
        let front_shoulder_tip = front_shoulder_neck + shoulder * slope(22.0);
        let front_neck_centre = Point::new(0.0, front_shoulder_neck.y - 100.0 - i);
        let armhole = |tip: Point, degrees: f64, underarm: Point, inward: Vec2| {
            let first = tip + (95.0 + i) * down(degrees);
            cubic(tip, first, underarm + (75.0 + 2.0 * i) * inward, underarm)
        };
        let neck = |centre: Point, reach: f64, shoulder_neck: Point, fall: Vec2| {
            cubic(centre, Point::new(reach + i, centre.y), shoulder_neck + fall, shoulder_neck)
        };
        Self {
            underarm,
            below_dart,
            hip,
            hem_side: center + radius * Vec2::new(flare.sin(), -flare.cos()),
            hem_centre: Point::new(0.0, -HEM_BELOW_WAIST),
            hem_center_of_circle: center,
            side,
            back_armhole: armhole(back_shoulder_tip, 18.0, underarm, inward(4.0)),
            back_neck: neck(back_neck_centre, 40.0, back_shoulder_neck, 12.0 * down(18.0)),
            back_neck_centre,
            back_shoulder_neck,
            back_shoulder_tip,
            apex,
            dart_lower,
            dart_upper,
            cap_tip: cap_tip(apex, dart_lower, down(4.0), dart_angle),
            front_underarm,
            front_armhole: armhole(
                front_shoulder_tip,
                22.0,
                front_underarm,
                turned_vec(inward(4.0), dart_angle),
            ),
            front_neck: neck(front_neck_centre, 48.0, front_shoulder_neck, 45.0 * down(22.0)),
            front_shoulder_neck,
            front_shoulder_tip,
            front_neck_centre,
            shoulder,
            waist: parameter_at_level(&side, 0.0),
            i,
        }
    }

    /// The hem's arc from the centre to a point of its circle.
    fn hem_arc(&self, to: Point) -> Segment {
        let center = self.hem_center_of_circle;
        let sweep = (to.x - center.x).atan2(center.y - to.y);
        Segment::Arc(CircularArc::about(center, self.hem_centre, sweep))
    }

    pub(super) fn hem(&self) -> Vec<Segment> {
        vec![self.hem_arc(self.hem_side)]
    }

    pub(super) fn front_hem(&self) -> Vec<Segment> {
        vec![line(self.hem_front_edge(), self.hem_centre), self.hem_arc(self.hem_side)]
    }

    pub(super) fn hem_front_edge(&self) -> Point {
        Point::new(FRONT_EDGE, -HEM_BELOW_WAIST)
    }

    pub(super) fn neck_front_edge(&self) -> Point {
        Point::new(FRONT_EDGE, self.front_neck_centre.y)
    }

    /// The side from the hem up to a point of its straight upper part.
    fn side_up_to(&self, top: Point) -> Vec<Segment> {
        let c = &self.side;
        vec![
            line(self.hem_side, self.hip),
            Segment::Cubic(CubicBez::new(c.p3, c.p2, c.p1, c.p0)),
            line(self.below_dart, top),
        ]
    }

    pub(super) fn back_side(&self) -> Vec<Segment> {
        self.side_up_to(self.underarm)
    }

    pub(super) fn front_side_lower(&self) -> Vec<Segment> {
        self.side_up_to(self.dart_lower)
    }

    /// Along the side from the underarm, to the levels below the dart, of the waist and of the hip.
    pub(super) fn side_levels(&self) -> [f64; 3] {
        [0.0, self.waist, 1.0].map(|t| 120.0 + cubic_length(&self.side, t))
    }

    pub(super) fn cap(&self) -> Vec<Segment> {
        vec![line(self.dart_lower, self.cap_tip), line(self.cap_tip, self.dart_upper)]
    }

    pub(super) fn front_neck_to_edge(&self) -> Vec<Segment> {
        let c = &self.front_neck;
        vec![
            Segment::Cubic(CubicBez::new(c.p3, c.p2, c.p1, c.p0)),
            line(self.front_neck_centre, self.neck_front_edge()),
        ]
    }

    pub(super) fn back_neck_to_centre(&self) -> Vec<Segment> {
        let c = &self.back_neck;
        vec![Segment::Cubic(CubicBez::new(c.p3, c.p2, c.p1, c.p0))]
    }

    pub(super) fn armhole_up(c: &CubicBez) -> Vec<Segment> {
        vec![Segment::Cubic(CubicBez::new(c.p3, c.p2, c.p1, c.p0))]
    }

    /// Inner edge of an armhole facing, from the shoulder down to the side: on the body's side of the armhole.
    pub(super) fn armhole_facing_inner(c: &CubicBez) -> Vec<Segment> {
        // From the shoulder down, the body lies to the right.
        beside(c, -ARMHOLE_FACING)
    }

    /// Inner edge of the back neck facing, from the fold to the shoulder.
    pub(super) fn neck_facing_inner(&self) -> Vec<Segment> {
        // From the centre to the shoulder, the body lies to the right.
        beside(&self.back_neck, -NECK_FACING)
    }

    /// The point of the hem under the inner edge of the front facing.
    pub(super) fn facing_hem_inner(&self) -> Point {
        let center = self.hem_center_of_circle;
        let radius = center.y + HEM_BELOW_WAIST;
        let below = (radius * radius - FRONT_FACING_INNER * FRONT_FACING_INNER).sqrt();
        Point::new(FRONT_FACING_INNER, center.y - below)
    }

    pub(super) fn facing_hem(&self) -> Vec<Segment> {
        vec![line(self.hem_front_edge(), self.hem_centre), self.hem_arc(self.facing_hem_inner())]
    }

    /// Where the front facing ends on the shoulder.
    pub(super) fn facing_shoulder(&self) -> Point {
        let along = self.front_shoulder_tip - self.front_shoulder_neck;
        self.front_shoulder_neck + NECK_FACING / self.shoulder * along
    }

    /// Inner edge of the front facing, from the hem up to the shoulder: straight up, then a curve that meets the
    /// shoulder squarely.
    pub(super) fn front_facing_inner(&self) -> Vec<Segment> {
        let bend = Point::new(FRONT_FACING_INNER, self.front_neck_centre.y - 130.0);
        let end = self.facing_shoulder();
        let curve = cubic(bend, bend + Vec2::new(0.0, 110.0), end + 90.0 * down(22.0), end);
        vec![line(self.facing_hem_inner(), bend), Segment::Cubic(curve)]
    }

    /// Where the drill hole of the dart lies: from the apex towards the mouth.
    pub(super) fn drill_hole(&self) -> Point {
        let middle = self.dart_lower.midpoint(self.dart_upper) - self.apex;
        self.apex + DRILL_FROM_APEX / middle.hypot() * middle
    }

    /// The opening of a patch pocket on the front.
    pub(super) fn pocket(&self) -> (Point, Point) {
        let x = 80.0 + 4.0 * self.i;
        (Point::new(x, -90.0), Point::new(x + 130.0, -80.0))
    }

    /// A point in the middle of an armhole facing, at a parameter of its armhole.
    pub(super) fn armhole_facing_middle(c: &CubicBez, t: f64) -> Point {
        let v = speed(c, t);
        at(c, t) + 0.5 * ARMHOLE_FACING / v.hypot() * Vec2::new(v.y, -v.x)
    }

    /// x of the side at the level of the balance line.
    pub(super) fn side_at_balance(&self) -> f64 {
        at(&self.side, parameter_at_level(&self.side, BALANCE_Y)).x
    }

    pub(super) fn front_facing_side(&self) -> Point {
        let along = self.dart_upper - self.front_underarm;
        self.front_underarm + ARMHOLE_FACING / along.hypot() * along
    }

    pub(super) fn back_facing_side(&self) -> Point {
        self.underarm + ARMHOLE_FACING * down(4.0)
    }
}

/// The parameter at which a falling cubic is at a level.
fn parameter_at_level(c: &CubicBez, y: f64) -> f64 {
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if at(c, middle).y > y {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

/// The tip of the trued cap of a dart pressed down: the side below the lower leg, looked at from the apex, as far
/// as half the dart's angle; reflected in the lower leg.
fn cap_tip(apex: Point, dart_lower: Point, side: Vec2, angle: f64) -> Point {
    // The ray half the angle below the lower leg meets the side, which is straight there.
    let leg = dart_lower - apex;
    let ray = turned_vec(leg, -0.5 * angle);
    let along = (apex - dart_lower).cross(ray) / side.cross(ray);
    let on_side = dart_lower + along * side;
    let off = on_side - dart_lower;
    let mirrored = 2.0 * off.dot(leg) / leg.dot(leg) * leg - off;
    dart_lower + mirrored
}
