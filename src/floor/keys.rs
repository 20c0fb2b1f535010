//! One key = one thing. The one table that feeds both windows, the legend on the cloth, the desk's help and the
//! README.

use crate::scene::Layer;

/// Where an arrow key points.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Direction {
    /// To the left in the picture.
    Left,
    /// To the right in the picture.
    Right,
    /// Up in the picture.
    Up,
    /// Down in the picture.
    Down,
}

impl Direction {
    /// One px that way; y down.
    #[must_use]
    pub const fn pixel(self) -> (f64, f64) {
        match self {
            Self::Left => (-1.0, 0.0),
            Self::Right => (1.0, 0.0),
            Self::Up => (0.0, -1.0),
            Self::Down => (0.0, 1.0),
        }
    }
}

/// How far an arrow key moves the active mark.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Step {
    /// A tenth of a px.
    Fine,
    /// One px.
    Plain,
    /// Ten px.
    Coarse,
}

impl Step {
    /// The step in px.
    #[must_use]
    pub const fn px(self) -> f64 {
        match self {
            Self::Fine => 0.1,
            Self::Plain => 1.0,
            Self::Coarse => 10.0,
        }
    }
}

/// What was pressed, whichever window had the keyboard.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Press {
    /// A key that writes a character, in lower case.
    Character(char),
    /// Control and such a key.
    Control(char),
    /// Control, Shift and such a key.
    ControlShift(char),
    /// An arrow, with how far.
    Arrow(Direction, Step),
    /// The tabulator.
    Tab,
    /// Shift and the tabulator.
    ShiftTab,
    /// The space bar.
    Space,
    /// Escape.
    Escape,
    /// Enter.
    Enter,
}

/// What a key does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Action {
    /// Move the active mark in the picture.
    Nudge(Direction, Step),
    /// Make the next mark the active one.
    NextMark,
    /// Make the mark before the active one.
    PreviousMark,
    /// Show or hide the marks of the aim and the proof square.
    Aiming,
    /// Aim again: bring the lights of the marks back onto their crosses.
    Reaim,
    /// Look whether the projector moved.
    Look,
    /// Cut in stands; then the next stand.
    NextStand,
    /// Do all the same what was refused.
    Overrule,
    /// Lines and words larger and brighter, and back.
    Bold,
    /// Lines so many steps wider.
    Wider,
    /// Lines narrower.
    Narrower,
    /// The next lamp colour; after the last, the one that suits the cloth again.
    NextLamp,
    /// Show or hide a layer.
    Toggle(Layer),
    /// Everything dark but the cutting lines, and back.
    OnlyCuttingLines,
    /// No light at all, and back.
    Dark,
    /// Turn all words by a quarter, to be read from another side.
    TurnWords,
    /// Show the next copy alone.
    NextCopy,
    /// Show the copy before alone.
    PreviousCopy,
    /// Show all copies again.
    AllCopies,
    /// Tick the copy that is shown alone: cut, then marked.
    Tick,
    /// Take the last change back.
    Undo,
    /// Do it again.
    Redo,
    /// Save.
    Save,
    /// Leave the program.
    Leave,
}

/// A line of the table.
#[derive(Debug, Clone, Copy)]
pub struct KeyEntry {
    /// The key.
    pub press: Press,
    /// The key as it is written.
    pub key: &'static str,
    /// What it does, in a few words.
    pub words: &'static str,
    /// What it does.
    pub action: Action,
    /// Whether it stands in the legend on the cloth.
    pub on_cloth: bool,
}

const fn entry(press: Press, key: &'static str, words: &'static str, action: Action) -> KeyEntry {
    KeyEntry { press, key, words, action, on_cloth: true }
}

const fn desk_entry(press: Press, key: &'static str, words: &'static str, action: Action) -> KeyEntry {
    KeyEntry { press, key, words, action, on_cloth: false }
}

const fn letter(letter: char, key: &'static str, words: &'static str, layer: Layer) -> KeyEntry {
    entry(Press::Character(letter), key, words, Action::Toggle(layer))
}

/// Every key. An arrow moves by 1 px, with Shift by 10, with Ctrl by 0.1.
pub const KEYS: [KeyEntry; 41] = [
    entry(Press::Space, "Space", "only the cutting lines", Action::OnlyCuttingLines),
    entry(Press::Escape, "Esc", "no light", Action::Dark),
    entry(Press::Character('.'), ".", "next piece alone", Action::NextCopy),
    entry(Press::Character(','), ",", "piece before alone", Action::PreviousCopy),
    entry(Press::Character('a'), "A", "all pieces", Action::AllCopies),
    entry(Press::Enter, "Enter", "tick: cut, marked", Action::Tick),
    letter('c', "C", "cutting lines", Layer::CuttingLines),
    letter('s', "S", "seam lines", Layer::SeamLines),
    letter('n', "N", "notches, darts, holes", Layer::Marks),
    letter('f', "F", "fold", Layer::Folds),
    letter('o', "O", "other half", Layer::MirroredHalf),
    letter('h', "H", "hem before", Layer::OldHem),
    letter('g', "G", "grainline", Layer::Grainlines),
    letter('b', "B", "balance lines", Layer::BalanceLines),
    letter('t', "T", "top of the print", Layer::PrintTop),
    letter('r', "R", "repeat of the print", Layer::Print),
    letter('w', "W", "words", Layer::Words),
    entry(Press::Character('q'), "Q", "turn the words", Action::TurnWords),
    entry(Press::Character('e'), "E", "easy to see: large, bright", Action::Bold),
    entry(Press::Character('+'), "+", "wider lines", Action::Wider),
    entry(Press::Character('-'), "-", "narrower lines", Action::Narrower),
    entry(Press::Character('k'), "K", "colour of the lamp", Action::NextLamp),
    entry(Press::Character('i'), "I", "aim again", Action::Reaim),
    entry(Press::Character('v'), "V", "has it moved?", Action::Look),
    entry(Press::Character('x'), "X", "in stands; next stand", Action::NextStand),
    entry(Press::Character('u'), "U", "all the same", Action::Overrule),
    entry(Press::Character('m'), "M", "marks of the aim", Action::Aiming),
    entry(Press::Tab, "Tab", "next mark", Action::NextMark),
    desk_entry(Press::ShiftTab, "Shift Tab", "mark before", Action::PreviousMark),
    entry(
        Press::Arrow(Direction::Left, Step::Plain),
        "Arrows",
        "move the mark 1 px (Shift 10, Ctrl 0.1; while aiming again in steps that halve)",
        Action::Nudge(Direction::Left, Step::Plain),
    ),
    letter('p', "P", "bars that prove the size", Layer::Proof),
    letter('d', "D", "likely error of the light", Layer::ErrorMap),
    letter('l', "L", "these keys", Layer::Legend),
    desk_entry(Press::Control('z'), "Ctrl Z", "take back", Action::Undo),
    desk_entry(Press::Control('y'), "Ctrl Y", "do again", Action::Redo),
    desk_entry(Press::ControlShift('z'), "Ctrl Shift Z", "do again", Action::Redo),
    desk_entry(Press::Control('s'), "Ctrl S", "save", Action::Save),
    desk_entry(Press::Control('q'), "Ctrl Q", "leave", Action::Leave),
    desk_entry(Press::Character('='), "=", "wider lines", Action::Wider),
    desk_entry(Press::Character('>'), ">", "next piece alone", Action::NextCopy),
    desk_entry(Press::Character('<'), "<", "piece before alone", Action::PreviousCopy),
];

/// What a press does; `None` for a key that has no meaning.
#[must_use]
pub fn action_for(press: Press) -> Option<Action> {
    if let Press::Arrow(direction, step) = press {
        return Some(Action::Nudge(direction, step));
    }
    KEYS.iter().find(|entry| entry.press == press).map(|entry| entry.action)
}

/// The table as Markdown, for the README.
#[must_use]
pub fn key_list() -> String {
    let rows = KEYS.iter().map(|entry| format!("| {} | {} |\n", entry.key, entry.words));
    format!("| key | what it does |\n| --- | --- |\n{}", rows.collect::<String>())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_key_does_two_things() {
        for (index, entry) in KEYS.iter().enumerate() {
            assert!(KEYS.iter().skip(index + 1).all(|other| other.press != entry.press), "{}", entry.key);
        }
    }

    #[test]
    fn every_layer_has_a_key() {
        for layer in Layer::ALL {
            let has_key = KEYS.iter().any(|entry| match entry.action {
                Action::Toggle(toggled) => toggled == layer,
                Action::Aiming => layer == Layer::AimMarks,
                _ => false,
            });
            assert!(has_key, "{layer:?}");
        }
    }

    #[test]
    fn an_arrow_moves_by_its_step_whatever_the_table_shows() {
        let up = action_for(Press::Arrow(Direction::Up, Step::Fine));
        assert_eq!(up, Some(Action::Nudge(Direction::Up, Step::Fine)));
    }
}
