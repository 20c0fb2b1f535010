//! What is done under the light, by real keys in the floor window: aiming again, looking, cutting in stands, and going
//! on after the power was cut.

use super::stage::Stage;

#[test]
fn the_light_is_aimed_again_by_keys_whose_steps_halve() {
    let Some(stage) = Stage::set() else { return };
    let before: Vec<(f64, f64)> = (0..4).map(|mark| stage.pick(mark)).collect();
    let lit = stage.lit();
    stage.press(&stage.floor, &["i"]);
    stage.until("the crosses alone", |stage| stage.lit() < lit / 2 && stage.lit() > 100);
    // Escape leaves everything as it was.
    stage.press(&stage.floor, &["Right", "Escape"]);
    stage.until("the pieces again", |stage| stage.lit() == lit);
    assert_eq!(stage.saved().aims[0].measured.marks[0].picture, before[0]);
    // 32 px to the right and half of it back; 32 up. The other three follow, and are taken as foreseen.
    stage.press(&stage.floor, &["i", "Right", "Left", "Up", "Tab", "Tab", "Tab", "Return"]);
    stage.until_saved(0, (before[0].0 + 16.0, before[0].1 - 32.0));
    for (mark, before) in before.iter().enumerate().skip(1) {
        let now = stage.pick(mark);
        let by = (now.0 - before.0, now.1 - before.1);
        assert!((8.0..24.0).contains(&by.0) && (-44.0..-20.0).contains(&by.1), "mark {}: {by:?}", mark + 1);
    }
    stage.settle();
    let aimed = stage.screen().pixels;
    // The bump is one step of undo.
    stage.press(&stage.desk, &["ctrl+z"]);
    stage.until_saved(0, before[0]);
    stage.until("the light as before", |stage| stage.screen().pixels != aimed && stage.lit() == lit);
}

#[test]
fn the_same_stand_is_lit_again_after_the_power_was_cut() {
    let Some(mut stage) = Stage::set() else { return };
    stage.press(&stage.floor, &["x"]);
    stage.until("stands in the file", |stage| stage.saved().stands.is_some());
    // Both check marks and all four crosses are where their lights are: on to the second stand.
    let next = ["x", "Tab", "Tab", "Return", "Tab", "Tab", "Tab", "Tab", "Return"];
    stage.press(&stage.floor, &next);
    stage.until("the second stand", |stage| stage.saved().stands.is_some_and(|stands| stands.at == 1));
    stage.settle();
    let (lit, saved) = (stage.lit(), stage.saved());
    stage.cut_the_power();
    assert_eq!(stage.lit(), lit, "the same stand is lit, by the same aim");
    let again = stage.saved();
    assert_eq!((&again.stands, &again.progress, &again.plan), (&saved.stands, &saved.progress, &saved.plan));
    // It goes on from there.
    stage.press(&stage.floor, &next);
    stage.until("the next stand", |stage| stage.saved().stands.is_none_or(|stands| stands.at == 2));
}
