//! The document that ties pattern, wearer, alterations, cloth, lay, aim and progress together.
//!
//! - [`Plan`]: what is decided at the desk; every change of it can be undone.
//! - [`Garment`]: the plan with its pattern, its aims and its progress; one `.garment.ron` file.
//! - [`Evaluated`]: what follows from the plan, always recomputed from the untouched pattern.
//! - [`LayProblem`]: a cloth and what is cut from it, as the search for a lay is given it.
//! - [`OpenGarment`]: a garment being worked on: commands, undo, saving.
//!
//! One change goes one way: command → garment → what depends on it → scene → light.

mod aiming;
mod aims;
mod as_cut;
mod checks;
mod command;
mod evaluate;
mod file;
pub mod fit;
mod found;
mod history;
mod lay_answer;
mod lay_problem;
mod lay_wanted;
mod open;
mod piece_state;
mod plan;
mod progress;
mod rehearsal;
mod stands;
mod thinned;

pub use aims::{AimAttempt, Mount, NamedAim, ProofSheet};
pub use as_cut::AsCut;
pub use checks::cloth_findings;
pub use command::{Command, CommandError};
pub use evaluate::{Evaluated, EvaluatedPiece};
pub use file::{Garment, GarmentError};
pub use found::{Found, Mend};
pub use history::GestureId;
pub use lay_answer::{LayAnswer, reliefs};
pub use lay_problem::{LayProblem, LayProblemError, at_width};
pub use open::{OpenGarment, SaveAsError};
pub use piece_state::{PieceState, piece_state};
pub use plan::{Aside, Plan, Stand};
pub use progress::{CutState, Progress};
pub use rehearsal::{RehearsalStep, along_the_cloth, rehearsal};
pub use stands::{CHALK_MM, CROSSES, Moved, OneStand, StandWork, StandWorkError};
