//! `chalkbeam fit`: the pattern beside the wearer, and what is proposed.

use super::{CliError, open_garment, print, print_json, say};
use crate::garment::OpenGarment;
use crate::garment::fit::{FitZone, Proposal, proposals, zones};
use clap::Args;
use serde::Serialize;
use std::path::PathBuf;

/// Arguments of `fit`.
#[derive(Debug, Args)]
pub(super) struct Fit {
    /// Garment to compare with its wearer.
    garment: PathBuf,
    /// Print JSON.
    #[arg(long)]
    json: bool,
    /// Accept these proposals, by their numbers, and save the garment.
    #[arg(long, value_name = "N,M", value_delimiter = ',')]
    accept: Vec<usize>,
}

/// What `fit --json` prints. Lengths in mm; null where the wearer was not measured, the measure cannot be taken on the
/// altered pieces, or a size does not apply (lengths along the body have no nearest size).
#[derive(Debug, Serialize)]
struct FitReport {
    zones: Vec<ZoneReport>,
    proposals: Vec<ProposalReport>,
}

#[derive(Debug, Serialize)]
struct ZoneReport {
    measure: String,
    /// The body measurement, in words.
    of: &'static str,
    body_mm: Option<f64>,
    pattern_mm: Option<f64>,
    ease_mm: Option<f64>,
    minimum_ease_mm: f64,
    by_size: Vec<SizeReport>,
    nearest_size: Option<String>,
    after: Vec<AfterReport>,
}

#[derive(Debug, Serialize)]
struct SizeReport {
    size: String,
    pattern_mm: f64,
    difference_mm: Option<f64>,
}

#[derive(Debug, Serialize)]
struct AfterReport {
    alteration: u32,
    pattern_mm: f64,
}

#[derive(Debug, Serialize)]
struct ProposalReport {
    words: String,
    /// The alteration as RON, as it stands in a garment's file; null where another size is proposed.
    record: Option<String>,
    /// The size to start from, where that is what is proposed.
    size: Option<String>,
    reason: String,
}

impl Fit {
    pub(super) fn perform(&self) -> Result<(), CliError> {
        let mut open = open_garment(&self.garment)?;
        if !self.accept.is_empty() {
            accept(&mut open, &self.accept)?;
        }
        let (zones, proposals) = (zones(&open), proposals(&open));
        if self.json {
            print_json(&report(&zones, &proposals)?)
        } else {
            print(&words(&open, &zones, &proposals))
        }
    }
}

/// Does what the proposals of these numbers ask for, and saves.
fn accept(open: &mut OpenGarment, numbers: &[usize]) -> Result<(), CliError> {
    let proposed = proposals(open);
    let chosen: Result<Vec<&Proposal>, CliError> = numbers
        .iter()
        .map(|number| {
            let index = number.checked_sub(1);
            index.and_then(|index| proposed.get(index)).ok_or_else(|| {
                CliError::Said(format!(
                    "there is no proposal {number}: there are {} (see `chalkbeam fit` without --accept)",
                    proposed.len()
                ))
            })
        })
        .collect();
    for proposal in chosen? {
        open.perform(&proposal.command, None)
            .map_err(|error| CliError::Said(format!("“{}”: {error}", proposal.words)))?;
        say(&format!("accepted: {}", proposal.words));
    }
    Ok(open.save()?)
}

fn report(zones: &[FitZone], proposals: &[Proposal]) -> Result<FitReport, CliError> {
    let zone = |zone: &FitZone| ZoneReport {
        measure: zone.measure.to_string(),
        of: zone.of.words(),
        body_mm: zone.body_mm,
        pattern_mm: zone.pattern_mm,
        ease_mm: zone.ease_mm,
        minimum_ease_mm: zone.minimum_ease_mm,
        by_size: zone
            .by_size
            .iter()
            .map(|in_size| SizeReport {
                size: in_size.size.to_string(),
                pattern_mm: in_size.pattern_mm,
                difference_mm: in_size.difference_mm,
            })
            .collect(),
        nearest_size: zone.nearest_size.as_ref().map(ToString::to_string),
        after: zone
            .after_steps
            .iter()
            .map(|step| AfterReport { alteration: step.alteration.0, pattern_mm: step.pattern_mm })
            .collect(),
    };
    let proposal = |proposal: &Proposal| {
        let size = match &proposal.command {
            crate::garment::Command::ChooseSize(size) => Some(size.to_string()),
            _ => None,
        };
        let record = proposal.record().map(crate::document::to_line).transpose();
        let record = record
            .map_err(|error| CliError::Said(format!("“{}” cannot be written: {error}", proposal.words)))?;
        Ok(ProposalReport { words: proposal.words.clone(), record, size, reason: proposal.reason.clone() })
    };
    Ok(FitReport {
        zones: zones.iter().map(zone).collect(),
        proposals: proposals.iter().map(proposal).collect::<Result<_, CliError>>()?,
    })
}

/// Sizes that fit beside each other in 80 columns.
const SIZES_A_ROW: usize = 6;

fn words(open: &OpenGarment, zones: &[FitZone], proposals: &[Proposal]) -> String {
    let mut words = String::new();
    let mut line = |text: String| words.push_str(&(text.trim_end().to_owned() + "\n"));
    let plan = open.plan();
    let wearer = match plan.wearer.name.as_str() {
        "" => "the wearer",
        name => name,
    };
    line(format!("{}, size {}, for {wearer}; all in mm", open.garment().name, plan.size));
    if zones.is_empty() {
        line("the pattern says nothing that could be compared with the body".to_owned());
    }
    line(String::new());
    line(format!(
        "{:20} {:>9} {:>9} {:>9} {:>9}  {}",
        "", "body", "pattern", "ease", "at least", "nearest size"
    ));
    let number = |mm: Option<f64>| mm.map_or_else(|| "–".to_owned(), |mm| format!("{mm:.1}"));
    for zone in zones {
        let ease = zone.ease_mm.map_or_else(|| "–".to_owned(), |mm| format!("{mm:+.1}"));
        let size = zone.nearest_size.as_ref().map_or_else(String::new, ToString::to_string);
        line(format!(
            "{:20} {:>9} {:>9} {:>9} {:>9.1}  {size}",
            shortened(zone.measure.as_str()),
            number(zone.body_mm),
            number(zone.pattern_mm),
            ease,
            zone.minimum_ease_mm,
        ));
    }
    let sizes: Vec<_> = open.garment().pattern.sizes.iter().collect();
    for (row, chunk) in sizes.chunks(SIZES_A_ROW).enumerate() {
        let from = row * SIZES_A_ROW;
        line(String::new());
        let heads: String = chunk.iter().map(|size| format!(" {:>9}", size.as_str())).collect();
        line(format!("{:20}{heads}", "printed, by size"));
        for zone in zones {
            let in_row = zone.by_size.iter().skip(from).take(SIZES_A_ROW);
            let cells = |cell: &dyn Fn(&crate::garment::fit::InSize) -> String| -> String {
                in_row.clone().map(|in_size| format!(" {:>9}", cell(in_size))).collect()
            };
            let pattern = cells(&|in_size| format!("{:.1}", in_size.pattern_mm));
            line(format!("{:20}{pattern}", shortened(zone.measure.as_str())));
            if zone.body_mm.is_some() {
                let off = cells(&|in_size| {
                    let off = in_size.difference_mm;
                    off.map_or_else(String::new, |off| format!("{off:+.1}"))
                });
                line(format!("{:20}{off}", "  less the body"));
            }
        }
    }
    for zone in zones.iter().filter(|zone| !zone.after_steps.is_empty()) {
        let steps = zone.after_steps.iter();
        let steps: String = steps
            .map(|step| format!("; {:.1} after alteration {}", step.pattern_mm, step.alteration))
            .collect();
        let own = zone.by_size.iter().find(|in_size| in_size.size == plan.size);
        let printed = own.map_or_else(|| "–".to_owned(), |own| format!("{:.1}", own.pattern_mm));
        line(String::new());
        for text in wrapped(&format!("{}: {printed} as printed{steps}", zone.measure), 0) {
            line(text);
        }
    }
    line(String::new());
    if proposals.is_empty() {
        line("nothing to propose".to_owned());
    }
    for (index, proposal) in proposals.iter().enumerate() {
        for text in wrapped(&format!("{}. {}", index + 1, proposal.words), 0) {
            line(text);
        }
        for text in wrapped(&proposal.reason, 3) {
            line(text);
        }
    }
    words
}

/// A name cut to its column.
fn shortened(name: &str) -> String {
    const COLUMN: usize = 20;
    if name.chars().count() <= COLUMN {
        return name.to_owned();
    }
    name.chars().take(COLUMN - 1).chain(std::iter::once('…')).collect()
}

/// Text in lines of at most 80 characters, each after so many spaces.
fn wrapped(text: &str, indent: usize) -> Vec<String> {
    const WIDTH: usize = 80;
    let blank = " ".repeat(indent);
    let mut lines = vec![blank.clone()];
    for word in text.split_whitespace() {
        if let Some(last) = lines.last_mut() {
            let used = last.chars().count();
            if used > indent && used + 1 + word.chars().count() > WIDTH {
                lines.push(format!("{blank}{word}"));
            } else {
                let gap = if used > indent { " " } else { "" };
                last.push_str(gap);
                last.push_str(word);
            }
        }
    }
    lines
}
