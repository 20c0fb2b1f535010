//! Cutting in stands by keys alone, in a simulated room, with a power cut after every step.

use super::PICTURE;
use crate::aim::bump::{four, room};
use crate::aim::errors::Noise;
use crate::aim::keys::{arrows_to, words_lit};
use crate::aim::laws::Projector;
use chalkbeam::aim::{Aim, Motion};
use chalkbeam::demo::garden_coat;
use chalkbeam::desk::Session;
use chalkbeam::floor::{Direction, Press, Step, Work, few_crosses};
use chalkbeam::garment::{Command, Garment, OpenGarment};
use chalkbeam::geometry::{Point, Vec2};
use std::path::Path;
use tempfile::TempDir;

/// The whole lay of the demo's coat under one small picture.
fn session(folder: &Path) -> Session {
    let mut session = Session::new(garden_coat().unwrap());
    let measured = four(room()).measured();
    session.open.perform(&Command::TakeAim(Box::new(measured)), None).unwrap();
    session.open.save_as(&folder.join("coat.garment.ron")).unwrap();
    session.floor.window_size = PICTURE;
    session
}

/// The program is killed, and opens the file again.
fn after_a_power_cut(session: &Session) -> Session {
    let path = session.open.path().unwrap().to_owned();
    let mut again = Session::new(OpenGarment::new(Garment::read(&path).unwrap(), Some(path)));
    again.floor.window_size = PICTURE;
    again
}

fn aim(session: &Session) -> &Aim {
    session.open.aim().good.as_ref().unwrap()
}

/// Furthest that the desk takes a place of the present stand for another, in mm.
fn off(session: &Session, truth: &Motion) -> f64 {
    let stands = session.open.stands().unwrap();
    let (x0, y0, x1, y1) = stands.stands[stands.at].on_cloth;
    let corners = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)].map(Point::from);
    let believed = session.open.stand().motion();
    corners.iter().map(|&at| believed.apply(at).distance(truth.apply(at))).fold(0.0, f64::max)
}

#[test]
fn a_lay_is_cut_in_stands_by_keys_and_survives_a_power_cut_at_each() {
    let folder = TempDir::new().unwrap();
    let mut noise = Noise(29);
    let mut session = session(folder.path());
    session.press(Press::Character('x'));
    assert_eq!(session.complaint, None);
    let count = session.open.stands().unwrap().stands.len();
    assert!(count > 2, "the lay is longer than the picture: {count}");
    assert!(words_lit(&session).contains(&format!("Stand 1 of {count}")));
    // Where the cloth truly lies, stand by stand.
    let mut lies = vec![session.open.stand().motion()];
    for at in 0..count - 1 {
        session = after_a_power_cut(&session);
        assert_eq!(session.open.stands().unwrap().at, at, "it goes on where it was");
        let next = session.open.stands().unwrap().stands[at + 1].clone();
        assert!(next.crosses.len() >= 2);
        let from = next.from.unwrap();
        let believed = session.open.stands().unwrap().stands[from].lies.unwrap().motion();
        // She chalks along the light, within some tenths of a millimetre.
        let chalked: Vec<Point> = next
            .crosses
            .iter()
            .map(|&cross| {
                let lit = believed.apply(cross.into()) + 0.2 * Vec2::new(noise.normal(), noise.normal());
                lies[from].inverse().apply(lit)
            })
            .collect();
        let planned = next.planned.motion();
        let middle = Point::new(
            f64::midpoint(next.on_cloth.0, next.on_cloth.2),
            f64::midpoint(next.on_cloth.1, next.on_cloth.3),
        );
        let truth = Motion::taking(
            middle,
            planned.apply(middle) + Vec2::new(8.0 * noise.normal(), 8.0 * noise.normal()),
            planned.turn + 0.02 * noise.normal(),
        );
        session.press(Press::Character('x'));
        assert!(
            matches!(session.floor.work.as_deref(), Some(Work::Look { .. })),
            "the marks are looked at first"
        );
        session.press(Press::Enter);
        for found in 1..=chalked.len() {
            let Some(Work::Crosses { find, .. }) = session.floor.work.as_deref() else {
                panic!("{:?}", session.complaint)
            };
            let cross = find.seek().active();
            let target = aim(&session).picture_of_cloth(truth.apply(chalked[cross])).unwrap();
            arrows_to(&mut session, target);
            if found < chalked.len() {
                session.press(Press::Tab);
            }
        }
        session.press(Press::Enter);
        assert_eq!(session.complaint, None);
        lies.push(truth);
        assert_eq!(session.open.stands().unwrap().at, at + 1);
        assert!(off(&session, &truth) < 2.0, "{at}: {}", off(&session, &truth));
        assert!(words_lit(&session).contains("all so far ±"), "{}", words_lit(&session));
    }
    session.press(Press::Character('x'));
    assert!(session.open.stands().is_none(), "after the last stand the cloth lies as planned again");
}

#[test]
fn a_cloth_that_is_stretched_is_refused_with_the_reason_and_the_stand_stays() {
    let folder = TempDir::new().unwrap();
    let mut session = session(folder.path());
    session.press(Press::Character('x'));
    session.press(Press::Character('x'));
    session.press(Press::Enter);
    // One cross of those is found five pixels from where it should be.
    session.press(Press::Tab);
    for _ in 0..3 {
        session.press(Press::Arrow(Direction::Left, Step::Coarse));
    }
    session.press(Press::Tab);
    session.press(Press::Tab);
    session.press(Press::Tab);
    session.press(Press::Enter);
    let complaint = session.complaint.clone().unwrap();
    assert!(complaint.contains("mm"), "{complaint}");
    assert_eq!(session.open.stands().unwrap().at, 0);
    assert!(session.floor.work.is_some(), "the crosses can be picked again");
    session.press(Press::Escape);
    assert_eq!(session.open.stands().unwrap().at, 0);
}

#[test]
fn a_projector_that_moved_holds_the_next_stand_back_until_it_is_overruled() {
    let folder = TempDir::new().unwrap();
    let mut session = session(folder.path());
    session.press(Press::Character('x'));
    session.press(Press::Character('x'));
    for _ in 0..4 {
        session.press(Press::Arrow(Direction::Up, Step::Plain));
    }
    session.press(Press::Enter);
    assert!(session.complaint.as_ref().unwrap().contains("it moved"));
    session.press(Press::Character('x'));
    assert!(session.floor.work.is_none() && session.complaint.is_some(), "refused again");
    session.press(Press::Character('u'));
    assert!(matches!(session.floor.work.as_deref(), Some(Work::Crosses { .. })));
    session.press(Press::Escape);
    assert!(words_lit(&session).contains("Cut all the same"));
}

#[test]
fn while_it_is_cut_in_stands_the_cloth_lies_where_its_crosses_say() {
    let folder = TempDir::new().unwrap();
    let mut session = session(folder.path());
    session.press(Press::Character('x'));
    let stand = chalkbeam::garment::Stand { at: Point::new(1.0, 2.0), turn_degrees: 3.0 };
    let error = session.open.perform(&Command::SetStand(stand), None).unwrap_err();
    assert!(error.to_string().contains("leave the stands first"));
    let mut broken = session.open.stands().unwrap().clone();
    broken.at = 99;
    assert!(session.open.perform(&Command::SetStands(Some(Box::new(broken))), None).is_err());
}

#[test]
fn the_projector_is_moved_instead_and_the_cloth_stays() {
    let folder = TempDir::new().unwrap();
    let mut session = session(folder.path());
    session.press(Press::Character('x'));
    let stands = session.open.stands().unwrap().clone();
    let lies = session.open.stand();
    let next = &stands.stands[1];
    // The lens goes where the cloth would have come from.
    let push = stands.way_to_next().unwrap();
    let there = Projector { foot: (-push.x, -push.y), ..room() };
    let truth = Aim::from_homography(PICTURE, there.map()).unwrap();
    session.press(Press::Character('x'));
    session.press(Press::Enter);
    for _ in 0..next.crosses.len() {
        let Some(Work::Crosses { find, .. }) = session.floor.work.as_deref() else {
            panic!("{:?}", session.complaint)
        };
        let cross = Point::from(next.crosses[find.seek().active()]);
        let target = truth.picture_of(lies.motion().apply(cross)).unwrap();
        arrows_to(&mut session, target);
        session.press(Press::Tab);
    }
    session.press(Press::Character('i'));
    assert_eq!(session.complaint, None);
    assert_eq!(session.open.stands().unwrap().at, 1);
    assert_eq!(session.open.stand(), lies, "the cloth lies where it lay");
    // Between the crosses the new aim is as good as they are.
    let found = aim(&session);
    for &cross in &next.crosses {
        let place = lies.motion().apply(cross.into());
        let off = found.picture_of(place).unwrap().distance(truth.picture_of(place).unwrap());
        assert!(off < 1.5, "{off} px");
    }
    let names: Vec<_> = session.open.garment().aims.iter().map(|aim| aim.name.as_str()).collect();
    assert_eq!(names[0], "stand 2", "and the aim before is kept: {names:?}");
    assert!(names.len() > 1);
}

#[test]
fn stands_that_are_held_by_two_crosses_say_what_drift_to_expect() {
    let folder = TempDir::new().unwrap();
    let mut session = session(folder.path());
    session.press(Press::Character('x'));
    let whole = session.open.stands().unwrap().clone();
    let said = |stands: &chalkbeam::garment::StandWork| few_crosses(stands, aim(&session));
    let fewest = whole.stands.iter().skip(1).map(|stand| stand.crosses.len()).min().unwrap();
    assert_eq!(said(&whole).is_none(), fewest >= 4, "four crosses need no word");
    let mm = |words: &str| -> f64 {
        let number = words.split("drift by ").nth(1).unwrap().split(" mm").next().unwrap();
        number.parse().unwrap()
    };
    let with = |count: usize, apart: f64| {
        let mut stands = whole.clone();
        for stand in &mut stands.stands {
            stand.crosses.truncate(count);
            if let [a, b, ..] = stand.crosses[..] {
                let (middle_x, middle_y) = (f64::midpoint(a.0, b.0), f64::midpoint(a.1, b.1));
                for cross in &mut stand.crosses {
                    cross.0 = middle_x + apart * (cross.0 - middle_x);
                    cross.1 = middle_y + apart * (cross.1 - middle_y);
                }
            }
        }
        said(&stands).unwrap()
    };
    let two = with(2, 1.0);
    assert!(two.contains("two crosses only") && two.contains("Four drift less"), "{two}");
    assert!((0.5..4.0).contains(&mm(&two)), "{two}");
    assert!(mm(&with(2, 0.5)) > 1.4 * mm(&two), "crosses that are near each other hold worse");
    assert!(mm(&with(3, 1.0)) <= mm(&two));
}
