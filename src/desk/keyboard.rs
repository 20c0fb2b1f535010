//! From the window system's keys to a [`Press`], and whose a press is.

use crate::floor::{Direction, Press, Step};
use winit::event::KeyEvent;
use winit::keyboard::{Key, ModifiersState, NamedKey};

/// What holds the keyboard on the desk.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Holder {
    /// Nothing.
    Nobody,
    /// A field that is being typed into.
    Field,
    /// A button or the like, reached by Tab.
    Control,
}

/// Whether a press at the desk means what it means on the floor. It never means both: what is not ours goes to the
/// panels alone.
pub(super) fn is_ours(press: Press, holder: Holder, marks_are_lit: bool) -> bool {
    match (holder, press) {
        // A field is typed into; only saving is meant wherever one is.
        (Holder::Field, _) => press == Press::Control('s'),
        (_, Press::Tab | Press::ShiftTab | Press::Arrow(..)) => marks_are_lit,
        (Holder::Control, Press::Space | Press::Enter) => false,
        _ => true,
    }
}

/// The press that a key event stands for; `None` for a release and for keys without a meaning here.
pub(super) fn press_of(event: &KeyEvent, modifiers: ModifiersState) -> Option<Press> {
    if !event.state.is_pressed() {
        return None;
    }
    // A key that is held down moves a mark on and on, but switches nothing to and fro.
    let press = meant(&event.logical_key, modifiers)?;
    (!event.repeat || matches!(press, Press::Arrow(..))).then_some(press)
}

fn meant(key: &Key, modifiers: ModifiersState) -> Option<Press> {
    match key {
        Key::Named(named) => named_press(*named, modifiers),
        // Alt and the system's key belong to the window system.
        Key::Character(_) if modifiers.alt_key() || modifiers.super_key() => None,
        Key::Character(text) => {
            let letter = text.chars().flat_map(char::to_lowercase).next()?;
            Some(match (modifiers.control_key(), modifiers.shift_key()) {
                (true, true) => Press::ControlShift(letter),
                (true, false) => Press::Control(letter),
                (false, _) => Press::Character(letter),
            })
        }
        _ => None,
    }
}

fn named_press(key: NamedKey, modifiers: ModifiersState) -> Option<Press> {
    if modifiers.alt_key() || modifiers.super_key() {
        return None;
    }
    let step = match (modifiers.shift_key(), modifiers.control_key()) {
        (true, _) => Step::Coarse,
        (false, true) => Step::Fine,
        (false, false) => Step::Plain,
    };
    let arrow = |direction| Some(Press::Arrow(direction, step));
    match key {
        NamedKey::ArrowLeft => arrow(Direction::Left),
        NamedKey::ArrowRight => arrow(Direction::Right),
        NamedKey::ArrowUp => arrow(Direction::Up),
        NamedKey::ArrowDown => arrow(Direction::Down),
        NamedKey::Tab if modifiers.shift_key() => Some(Press::ShiftTab),
        NamedKey::Tab => Some(Press::Tab),
        NamedKey::Space => Some(Press::Space),
        NamedKey::Escape => Some(Press::Escape),
        NamedKey::Enter => Some(Press::Enter),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tab_goes_through_the_marks_only_while_they_are_lit() {
        for press in [Press::Tab, Press::ShiftTab, Press::Arrow(Direction::Up, Step::Plain)] {
            assert!(is_ours(press, Holder::Nobody, true) && is_ours(press, Holder::Control, true));
            assert!(!is_ours(press, Holder::Nobody, false) && !is_ours(press, Holder::Control, false));
            assert!(!is_ours(press, Holder::Field, true));
        }
    }

    #[test]
    fn space_and_enter_press_a_button_or_act_never_both() {
        for press in [Press::Space, Press::Enter] {
            assert!(is_ours(press, Holder::Nobody, true));
            assert!(!is_ours(press, Holder::Control, true) && !is_ours(press, Holder::Field, true));
        }
        // No light must always be in reach, but a field is left by Escape first.
        assert!(is_ours(Press::Escape, Holder::Control, false));
        assert!(!is_ours(Press::Escape, Holder::Field, false));
    }

    #[test]
    fn letters_are_keys_unless_they_are_typed() {
        let letter = Press::Character('s');
        assert!(is_ours(letter, Holder::Nobody, false) && !is_ours(letter, Holder::Field, false));
        assert!(is_ours(Press::Control('s'), Holder::Field, false));
        let key = |text: &str| Key::Character(text.into());
        assert_eq!(
            meant(&key("Z"), ModifiersState::CONTROL | ModifiersState::SHIFT),
            Some(Press::ControlShift('z'))
        );
        assert_eq!(meant(&key("z"), ModifiersState::CONTROL), Some(Press::Control('z')));
        assert_eq!(meant(&key("z"), ModifiersState::ALT), None);
        assert_eq!(meant(&Key::Named(NamedKey::Tab), ModifiersState::ALT), None);
    }
}
