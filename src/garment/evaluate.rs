//! What follows from the plan, recomputed from the untouched pattern at every change.

use super::{Aside, Found, Garment, Plan, checks};
use crate::alter::{
    Allowances, AlterError, AlterationId, CuttingLine, LengthenAt, Outcome, Record, Replay, ReplayMemory,
    cutting_line,
};
use crate::cloth::Cloth;
use crate::finding::Finding;
use crate::geometry::{BezPath, Curve};
use crate::lay::{self, Laid, Parts};
use crate::pattern::{BalanceLineId, ClothKind, Pattern, Piece, PieceId};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// What follows from a plan.
#[derive(Debug, Clone)]
pub struct Evaluated {
    /// The pieces, in the order of the cutting list.
    pub pieces: Vec<EvaluatedPiece>,
    /// What became of each alteration, in the order of the list.
    pub replay: Replay,
    /// What is cut from the cloth on the table, as the lay sees it.
    pub parts: Arc<Parts>,
    /// What is cut from the cloths aside that have a lay, and what is said of those lays.
    pub(super) aside: BTreeMap<ClothKind, LaidAside>,
    /// Which cloth is on the table.
    on_table: ClothKind,
    /// What the checks have to say, gravest first.
    pub findings: Vec<Found>,
    /// The pieces that an alteration of their mate has left behind.
    pub stale: BTreeSet<PieceId>,
    /// How far the steps need not be done again.
    memory: ReplayMemory,
}

/// What follows from the lay of a cloth that is put aside.
#[derive(Debug, Clone)]
pub(super) struct LaidAside {
    pub(super) parts: Arc<Parts>,
    cloth: Cloth,
    lay: Aside,
    /// What the rules say of it.
    pub(super) findings: Vec<Finding>,
}

/// One piece before and after.
#[derive(Debug, Clone)]
pub struct EvaluatedPiece {
    /// As printed, in the plan's size.
    pub printed: Arc<Piece>,
    /// As altered.
    pub altered: Arc<Piece>,
    /// Where to cut.
    pub cutting: Result<CuttingLine, AlterError>,
    /// The cutting line as one closed path, where there is one.
    pub cutting_path: Option<BezPath>,
    /// What the checks have to say of this piece by itself.
    pub(super) alone: Vec<Found>,
}

impl Evaluated {
    /// Recomputes everything from the pattern.
    #[must_use]
    pub fn of(garment: &Garment) -> Self {
        Self::after(None, garment)
    }

    /// The same, but what follows from a piece is taken over from before where the piece did not change since.
    #[must_use]
    pub fn after(before: Option<&Self>, garment: &Garment) -> Self {
        let (pattern, plan): (&Pattern, &Plan) = (&garment.pattern, &garment.plan);
        let printed = pattern.pieces_in(&plan.size).unwrap_or_default();
        let is_same = |(piece, known): (&Arc<Piece>, &EvaluatedPiece)| Arc::ptr_eq(piece, &known.printed);
        let before = before.filter(|before| {
            before.pieces.len() == printed.len() && printed.iter().zip(&before.pieces).all(is_same)
        });
        let mut memory = before.map(|before| before.memory.clone()).unwrap_or_default();
        let replay = memory.replay(pattern, &plan.size, &plan.alterations);
        let before = before.filter(|before| before.replay.allowances == replay.allowances);
        let known = |piece: &Arc<Piece>| {
            let known = before?.piece(&piece.id)?;
            (Arc::ptr_eq(&known.altered, piece) || known.altered == *piece).then_some(known)
        };
        let pieces: Vec<_> = printed
            .into_iter()
            .zip(&replay.pieces)
            .map(|(printed, altered)| match known(altered) {
                Some(known) => EvaluatedPiece { printed, ..known.clone() },
                None => EvaluatedPiece::of(printed, altered, &replay.allowances),
            })
            .collect();
        let outlined = pieces.iter().map(|piece| {
            let same_cloth = before.filter(|before| before.on_table == plan.on_table);
            let part = known(&piece.altered).and_then(|_| same_cloth?.parts.part(&piece.altered.id));
            (&piece.altered, piece.cutting_path.as_ref(), part)
        });
        let parts = Arc::new(Parts::of(outlined, &replay.seams, plan.on_table));
        // A hand that drags a piece changes nothing of what lies aside.
        let unchanged = before.filter(|_| !plan.aside.is_empty()).filter(|before| {
            let mut both = before.pieces.iter().zip(&pieces);
            let same = |(a, b): (&EvaluatedPiece, &EvaluatedPiece)| {
                Arc::ptr_eq(&a.altered, &b.altered) && a.cutting_path == b.cutting_path
            };
            before.replay.seams == replay.seams && both.all(same)
        });
        let aside = plan.aside.iter().filter_map(|(kind, lay)| {
            let cloth = plan.cloths.get(kind).filter(|_| !lay.lay.is_empty())?;
            let known = unchanged.and_then(|before| before.aside.get(kind));
            let same = known.filter(|known| known.cloth == *cloth && known.lay == *lay);
            Some((*kind, same.cloned().unwrap_or_else(|| LaidAside::of(*kind, cloth, lay, &pieces, &replay))))
        });
        let aside: BTreeMap<ClothKind, LaidAside> = aside.collect();
        let (findings, stale) = checks::all(garment, &pieces, &replay, &parts, &aside);
        Self { pieces, replay, parts, aside, on_table: plan.on_table, findings, stale, memory }
    }

    /// A piece by name.
    #[must_use]
    pub fn piece(&self, id: &PieceId) -> Option<&EvaluatedPiece> {
        self.pieces.iter().find(|piece| &piece.altered.id == id)
    }

    /// What is cut from a kind of cloth, as the lay sees it.
    #[must_use]
    pub fn parts_of(&self, cloth: ClothKind) -> Arc<Parts> {
        if cloth == self.on_table {
            return Arc::clone(&self.parts);
        }
        if let Some(aside) = self.aside.get(&cloth) {
            return Arc::clone(&aside.parts);
        }
        let outlined = self.pieces.iter().map(|piece| (&piece.altered, piece.cutting_path.as_ref(), None));
        Arc::new(Parts::of(outlined, &self.replay.seams, cloth))
    }

    /// The plan's lay on the cloth that is on the table; `None` without a cloth.
    #[must_use]
    pub fn laid<'a>(&'a self, plan: &'a Plan) -> Option<Laid<'a>> {
        Some(Laid { cloth: plan.cloth()?, parts: &self.parts, places: &plan.lay, rules: &plan.lay_rules })
    }

    /// How much each balance line was changed by the steps that were applied, in mm.
    #[must_use]
    pub fn balance_line_amounts(&self, plan: &Plan) -> Vec<(BalanceLineId, f64)> {
        let mut amounts: Vec<(BalanceLineId, f64)> = Vec::new();
        for alteration in &plan.alterations {
            let Record::Lengthen(lengthen) = &alteration.record else {
                continue;
            };
            let LengthenAt::BalanceLine { line, .. } = &lengthen.at else {
                continue;
            };
            if !self.was_applied(alteration.id) {
                continue;
            }
            let amount = lengthen.longer_by.mm();
            match amounts.iter_mut().find(|(id, _)| id == line) {
                Some((_, sum)) => *sum += amount,
                None => amounts.push((line.clone(), amount)),
            }
        }
        amounts
    }

    fn was_applied(&self, id: AlterationId) -> bool {
        self.replay.steps.iter().any(|step| step.id == id && matches!(step.outcome, Outcome::Applied(_)))
    }
}

impl LaidAside {
    fn of(kind: ClothKind, cloth: &Cloth, lay: &Aside, pieces: &[EvaluatedPiece], replay: &Replay) -> Self {
        let outlined = pieces.iter().map(|piece| (&piece.altered, piece.cutting_path.as_ref(), None));
        let parts = Arc::new(Parts::of(outlined, &replay.seams, kind));
        let laid = Laid { cloth, parts: &parts, places: &lay.lay, rules: &lay.lay_rules };
        let findings = lay::check(&laid);
        Self { parts, cloth: cloth.clone(), lay: lay.clone(), findings }
    }
}

impl EvaluatedPiece {
    /// A piece with its cutting line, and what follows from them alone.
    pub(super) fn of(printed: Arc<Piece>, altered: &Arc<Piece>, allowances: &Allowances) -> Self {
        let cutting = cutting_line(altered, allowances);
        let cutting_path = cutting.as_ref().ok().map(CuttingLine::outline);
        let mut piece =
            Self { printed, altered: Arc::clone(altered), cutting, cutting_path, alone: Vec::new() };
        piece.alone = checks::of_piece(&piece, allowances);
        piece
    }

    /// Outer lines of cloth that is left untrimmed for now.
    #[must_use]
    pub fn margins(&self) -> &[Curve] {
        self.cutting.as_ref().map_or(&[], |cutting| &cutting.margins)
    }
}
