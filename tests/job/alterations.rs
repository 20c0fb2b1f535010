//! Alterations of the coat and of circle skirts, against numbers computed apart from the library.

mod allowance;
mod blend;
mod dart;
mod draft;
mod facing;
mod full_bust;
mod hem;
mod hem_slope;
mod lengthen;
mod lists;
mod measure;
mod other_size;
mod outlines;
mod shape;

use chalkbeam::alter::{Alteration, AlterationId, Outcome, Record, Replay, Report, replay};
use chalkbeam::pattern::Pattern;

fn list(records: impl IntoIterator<Item = Record>) -> Vec<Alteration> {
    (1..).zip(records).map(|(id, record)| Alteration { id: AlterationId(id), on: true, record }).collect()
}

/// Replays records, all of which must apply.
fn applied(pattern: &Pattern, size: &str, records: impl IntoIterator<Item = Record>) -> Replay {
    let replayed = replay(pattern, &size.into(), &list(records));
    for step in &replayed.steps {
        assert!(matches!(step.outcome, Outcome::Applied(_)), "{:?}", step.outcome);
    }
    replayed
}

fn last_report(replayed: &Replay) -> &Report {
    replayed.report(replayed.steps.last().unwrap().id).unwrap()
}
