//! The projector's window: what is lit, and the keys that change it.
//!
//! The window itself holds no state of the garment. [`FloorView`] is what the keys change (which lines are shown,
//! which mark is active); everything else is derived from the garment when a frame is drawn.

mod bend;
mod call;
mod code;
mod few_crosses;
mod frame;
mod keys;
mod legend;
mod notice;
mod print_seek;
mod rehearsed;
mod standing;
mod view;
mod work;

pub use few_crosses::few_crosses;
pub use frame::{FloorMemory, FloorScene, floor_scene, floor_throw, lamp_for, lamp_of};
pub use keys::{Action, Direction, KEYS, KeyEntry, Press, Step, action_for, key_list};
pub use legend::add_legend;
pub use print_seek::{PrintSeek, PrintSeekError};
pub use standing::stand_words;
pub use view::{FloorView, WayIn};
pub use work::Work;
