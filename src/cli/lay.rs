//! `chalkbeam lay`: searches for a short lay of a garment's pieces, or of outlines from a file.

use super::{CliError, open_garment, print, print_json, say};
use crate::cloth::Cloth;
use crate::finding::{Finding, Severity};
use crate::garment::{
    Command, LayAnswer, LayProblem, LayProblemError, OpenGarment, at_width, cloth_findings, reliefs,
};
use crate::geometry::{Length, Point};
use crate::lay::search::{Item, Outcome, Pose, Problem, Settings, check, search};
use crate::lay::{self, Laid, Place};
use crate::pattern::ClothKind;
use clap::Args;
use serde::{Deserialize, Serialize};
use std::path::{Path, PathBuf};
use std::sync::atomic::AtomicBool;

/// Arguments of `lay`.
#[derive(Debug, Args)]
pub(super) struct Lay {
    /// Garment whose pieces are laid.
    #[arg(required_unless_present = "shapes")]
    garment: Option<PathBuf>,
    /// Lay the outlines of a JSON file instead: name, width, items with points, copies and turns_degrees.
    #[arg(long, conflicts_with_all = ["garment", "write", "width", "keep"])]
    shapes: Option<PathBuf>,
    /// How long to search; as long again for what would help, where the cloth is short.
    #[arg(long, default_value_t = 5.0)]
    seconds: f64,
    /// Where the search starts from; another seed may find another lay.
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// End after so many moves: with a seed, the same lay again on every machine.
    #[arg(long)]
    moves: Option<u64>,
    /// Leave the pieces that are laid already where they are, and lay the rest round them.
    #[arg(long)]
    keep: bool,
    /// Say how much is needed of cloth of another usable width, such as 115cm.
    #[arg(long)]
    width: Option<String>,
    /// Write the lay into the garment.
    #[arg(long, conflicts_with = "width")]
    write: bool,
    /// Print JSON.
    #[arg(long)]
    json: bool,
}

#[derive(Debug, Serialize)]
struct LayReport {
    cloths: Vec<ClothReport>,
    findings: Vec<Finding>,
}

#[derive(Debug, Serialize)]
struct ClothReport {
    name: String,
    width_mm: f64,
    used_mm: f64,
    bound_mm: f64,
    bound_kind: &'static str,
    shortest: bool,
    density: f64,
    short_by_mm: Option<f64>,
    spare_mm: Option<f64>,
    /// What was tried to make it shorter, where the cloth is short.
    reliefs: Vec<ReliefReport>,
    places: Vec<PlaceReport>,
}

#[derive(Debug, Serialize)]
struct ReliefReport {
    what: String,
    used_mm: f64,
    saves_mm: f64,
}

#[derive(Debug, Serialize)]
struct PlaceReport {
    piece: String,
    copy: u32,
    x_mm: f64,
    y_mm: f64,
    turn_degrees: f64,
    mirrored: bool,
}

#[derive(Debug, Deserialize)]
struct ShapesFile {
    name: String,
    width: f64,
    items: Vec<ShapeItem>,
}

#[derive(Debug, Deserialize)]
struct ShapeItem {
    points: Vec<(f64, f64)>,
    copies: usize,
    turns_degrees: Vec<f64>,
}

impl Lay {
    pub(super) fn perform(&self) -> Result<(), CliError> {
        let report = match (&self.shapes, &self.garment) {
            (Some(path), _) => self.lay_shapes(path)?,
            (None, Some(path)) => self.lay_garment(path)?,
            (None, None) => return Err(CliError::Said("name a garment, or --shapes FILE".to_owned())),
        };
        if self.json { print_json(&report) } else { print(&words(&report)) }
    }

    fn settings(&self) -> Settings {
        let by_clock = Settings::seconds(self.seconds, self.seed);
        match self.moves {
            None => by_clock,
            Some(moves) => Settings { moves: Some(moves), time: None, ..by_clock },
        }
    }

    fn find(&self, problem: &Problem, what: &str) -> Result<Outcome, CliError> {
        let progress = |outcome: &Outcome| {
            if !self.json {
                say(&format!("{what}: {:.1} mm, {:.2} %", outcome.used_mm, 100.0 * outcome.density));
            }
        };
        search(problem, &self.settings(), &AtomicBool::new(false), &progress)
            .map_err(|error| CliError::Said(format!("{what}: {error}")))
    }

    fn lay_shapes(&self, path: &Path) -> Result<LayReport, CliError> {
        let said = |what: String| CliError::Said(format!("{}: {what}", path.display()));
        let text = std::fs::read_to_string(path).map_err(|error| said(format!("cannot be read: {error}")))?;
        let file: ShapesFile = serde_json::from_str(&text).map_err(|error| said(error.to_string()))?;
        let items = file.items.iter().enumerate().map(|(n, item)| Item {
            name: format!("item {}", n + 1),
            outline: item.points.iter().copied().map(Point::from).collect(),
            copies: item.copies,
            poses: item.turns_degrees.iter().map(|turn| Pose::turned(turn.to_radians())).collect(),
            fold_level: None,
            repeat: None,
            pinned: None,
            band: None,
            over_flaws: false,
        });
        let problem = Problem { width: file.width, items: items.collect(), ..Problem::default() };
        let outcome = self.find(&problem, &file.name)?;
        let broken = check(&problem, &outcome.places);
        if let Some(rule) = broken.first() {
            return Err(said(rule.to_string()));
        }
        let places = outcome.places.iter().map(|placed| PlaceReport {
            piece: problem.items[placed.item].name.clone(),
            copy: u32::try_from(placed.copy + 1).unwrap_or(u32::MAX),
            x_mm: placed.at.x,
            y_mm: placed.at.y,
            turn_degrees: placed.pose.turn.to_degrees(),
            mirrored: placed.pose.mirrored,
        });
        let cloth = ClothReport { places: places.collect(), ..report(file.name, &problem, &outcome) };
        Ok(LayReport { cloths: vec![cloth], findings: Vec::new() })
    }

    fn lay_garment(&self, path: &Path) -> Result<LayReport, CliError> {
        let mut open = open_garment(path)?;
        let width = self
            .width
            .as_ref()
            .map(|text| text.parse::<Length>())
            .transpose()
            .map_err(|error| CliError::Said(format!("--width: {error}")))?;
        let mut cloths = Vec::new();
        let mut findings = Vec::new();
        let kinds: Vec<(ClothKind, Cloth)> = {
            let known = open.plan().cloths.iter();
            known.map(|(kind, cloth)| (*kind, cloth.clone())).collect()
        };
        if kinds.is_empty() {
            return Err(CliError::Said(format!("{}: choose a cloth first", path.display())));
        }
        let mut refused = Vec::new();
        for (kind, cloth) in kinds {
            let cloth = width.as_ref().map_or_else(|| cloth.clone(), |width| at_width(&cloth, width));
            findings.extend(cloth_findings(kind, &cloth));
            match self.lay_cloth(kind, &cloth, &mut open)? {
                Ok((report, found)) => {
                    findings.extend(found);
                    cloths.push(report);
                }
                Err(why) => refused.push((cloth.name.clone(), why)),
            }
        }
        // One cloth that can't be laid takes nothing from the others.
        if cloths.is_empty()
            && let Some((_, (_, why))) = refused.first()
        {
            return Err(CliError::Said(format!("{}: {why}", path.display())));
        }
        findings.extend(
            refused
                .into_iter()
                .map(|(name, (severity, why))| Finding::new(severity, format!("“{name}” was not laid"), why)),
        );
        if self.write {
            open.save()?;
        }
        findings.sort_by_key(|finding| std::cmp::Reverse(finding.severity));
        Ok(LayReport { cloths, findings })
    }
}

/// A cloth's report and findings, or why it was not laid and how grave that is.
type LaidCloth = Result<(ClothReport, Vec<Finding>), (Severity, String)>;

impl Lay {
    fn lay_cloth(
        &self,
        kind: ClothKind,
        cloth: &Cloth,
        open: &mut OpenGarment,
    ) -> Result<LaidCloth, CliError> {
        let parts = open.evaluated().parts_of(kind);
        let kept = match kind {
            kind if self.keep => open.plan().lay_on(kind).to_vec(),
            // What is pinned or cut stays in any case.
            kind if self.width.is_none() => open.staying_on(kind),
            _ => Vec::new(),
        };
        let rules = open.plan().rules_on(kind);
        let made = match LayProblem::of(cloth, &parts, &rules, &kept) {
            Ok(made) => made,
            Err(why @ LayProblemError::Nothing(_)) => return Ok(Err((Severity::Note, why.to_string()))),
            Err(why) => return Ok(Err((Severity::Stop, why.to_string()))),
        };
        let outcome = match self.find(&made.problem, &cloth.name) {
            Ok(outcome) => outcome,
            Err(why) => return Ok(Err((Severity::Stop, why.to_string()))),
        };
        let places = made.places(&outcome);
        let mut findings = Vec::new();
        let mut tried = Vec::new();
        // For another width no length is at hand: the need is the answer.
        if self.width.is_none() && outcome.short_by(&made.problem).is_some() {
            let asked = (cloth, &*parts, &rules, kept.as_slice());
            let stop = AtomicBool::new(false);
            tried = reliefs(asked, &made.problem, &outcome, &self.settings(), &stop)
                .map_err(|error| CliError::Said(format!("{}: {error}", cloth.name)))?;
            findings.extend(LayAnswer::of(cloth, &made.problem, &outcome, &tried).too_short());
        }
        // Of another cloth the length is what is asked, and not at hand.
        let long = Length::from_mm(cloth.length.mm().max(2.0 * outcome.used_mm));
        let asked = Cloth { length: long, ..cloth.clone() };
        let looked_at = if self.width.is_some() { &asked } else { cloth };
        findings.extend(lay::check(&Laid {
            cloth: looked_at,
            parts: &parts,
            places: &places,
            rules: &rules,
        }));
        if self.write {
            let on_table = open.plan().on_table;
            let commands =
                [Command::PutOnTable(kind), Command::SetLay(places.clone()), Command::PutOnTable(on_table)];
            for command in commands {
                open.perform(&command, None).map_err(|error| CliError::Said(error.to_string()))?;
            }
        }
        let reliefs = tried.into_iter().map(|relief| ReliefReport {
            what: relief.what,
            used_mm: relief.used_mm,
            saves_mm: relief.saves_mm,
        });
        let mut told = ClothReport {
            places: places.iter().map(place_report).collect(),
            reliefs: reliefs.collect(),
            ..report(cloth.name.clone(), &made.problem, &outcome)
        };
        if self.width.is_some() {
            (told.short_by_mm, told.spare_mm) = (None, None);
        }
        Ok(Ok((told, findings)))
    }
}

fn place_report(place: &Place) -> PlaceReport {
    PlaceReport {
        piece: place.piece.to_string(),
        copy: place.copy,
        x_mm: place.at.x,
        y_mm: place.at.y,
        turn_degrees: place.turn_degrees,
        mirrored: place.mirrored,
    }
}

fn report(name: String, problem: &Problem, outcome: &Outcome) -> ClothReport {
    ClothReport {
        name,
        width_mm: problem.width,
        used_mm: outcome.used_mm,
        bound_mm: outcome.bound.mm,
        bound_kind: outcome.bound.kind.words(),
        shortest: outcome.proved,
        density: outcome.density,
        short_by_mm: outcome.short_by(problem),
        spare_mm: problem.length.map(|length| length - outcome.used_mm).filter(|spare| *spare >= 0.0),
        reliefs: Vec::new(),
        places: Vec::new(),
    }
}

fn words(report: &LayReport) -> String {
    let mut words = String::new();
    let mut line = |text: String| words.push_str(&(text + "\n"));
    for cloth in &report.cloths {
        line(format!(
            "{}: {:.1} mm used of {:.0} mm width, {:.2} % of it pieces",
            cloth.name,
            cloth.used_mm,
            cloth.width_mm,
            100.0 * cloth.density
        ));
        let proved = if cloth.shortest { "; this is the shortest lay" } else { "" };
        line(format!("  at least {:.1} mm ({}){proved}", cloth.bound_mm, cloth.bound_kind));
        if let Some(short) = cloth.short_by_mm {
            line(format!("  the cloth at hand is {short:.1} mm short"));
        }
        if let Some(spare) = cloth.spare_mm {
            line(format!("  {spare:.1} mm of the cloth at hand are to spare"));
        }
        for relief in &cloth.reliefs {
            line(format!(
                "  tried: {} needs {:.1} mm, {:.1} mm less",
                relief.what, relief.used_mm, relief.saves_mm
            ));
        }
        for place in &cloth.places {
            let over = if place.mirrored { ", turned over" } else { "" };
            line(format!(
                "  {:24} {:>2}  at {:>8.1}, {:>7.1} mm, turned {:.0}°{over}",
                place.piece, place.copy, place.x_mm, place.y_mm, place.turn_degrees
            ));
        }
    }
    for finding in &report.findings {
        let grade = match finding.severity {
            Severity::Stop => "STOP",
            Severity::Warning => "WARNING",
            Severity::Note => "NOTE",
        };
        words.push_str(&format!("{grade}: {}; {}\n", finding.what, finding.remedy));
    }
    words
}
