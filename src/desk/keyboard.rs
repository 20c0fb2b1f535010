//! From the window system's keys to a [`Press`].

use crate::floor::{Direction, Press, Step};
use winit::event::KeyEvent;
use winit::keyboard::{Key, ModifiersState, NamedKey};

/// The press that a key event stands for; `None` for a release and for keys without a meaning here.
pub(super) fn press_of(event: &KeyEvent, modifiers: ModifiersState) -> Option<Press> {
    if !event.state.is_pressed() {
        return None;
    }
    match &event.logical_key {
        Key::Named(named) => named_press(*named, modifiers),
        Key::Character(text) => {
            let mut letters = text.chars().flat_map(char::to_lowercase);
            let letter = letters.next()?;
            Some(if modifiers.control_key() {
                Press::Control(letter)
            } else {
                Press::Character(letter)
            })
        }
        _ => None,
    }
}

fn named_press(key: NamedKey, modifiers: ModifiersState) -> Option<Press> {
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
