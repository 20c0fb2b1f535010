//! The pieces of a drawing become a pattern in a file, and a garment opens with it.

use super::Intake;
use crate::body::Wearer;
use crate::garment::{Garment, NamedAim, OpenGarment, Plan, Stand};
use crate::lay::LayRules;
use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::Arc;

/// Beyond so many files of one name somebody should tidy up.
const MOST_FILES: u32 = 1000;

impl Intake {
    /// Writes the pattern and a garment beside the drawing, and opens the garment. `aims` go with the projector and
    /// not with the cloth, and the wearer with neither: they are taken along.
    ///
    /// # Errors
    /// In words, when there are no pieces or the files could not be written.
    pub(super) fn take_pieces(&self, aims: Vec<NamedAim>, wearer: Wearer) -> Result<OpenGarment, String> {
        let imported = self.imported().ok_or("there are no pieces to take yet")?;
        let pattern = &imported.pattern;
        let size = pattern.sizes.get(self.size).or_else(|| pattern.sizes.first());
        let size = size.ok_or("the pattern has no size")?.clone();
        let (garment_path, pattern_name) = self.free_names()?;
        let plan = Plan {
            size,
            wearer,
            alterations: Vec::new(),
            cloths: BTreeMap::new(),
            on_table: crate::pattern::ClothKind::Cloth,
            lay: Vec::new(),
            lay_rules: LayRules::default(),
            stand: Stand::default(),
            aside: BTreeMap::new(),
        };
        let garment = Garment {
            name: pattern.name.clone(),
            pattern_path: PathBuf::from(pattern_name),
            pattern: Arc::new(pattern.clone()),
            plan: Arc::new(plan),
            aims,
            progress: Vec::new(),
            stands: None,
        };
        let mut open = OpenGarment::new(garment, None);
        open.save_as(&garment_path).map_err(|error| error.to_string())?;
        Ok(open)
    }

    /// The path of the garment and the name of its pattern, called like the drawing; numbered where one lies there.
    fn free_names(&self) -> Result<(PathBuf, String), String> {
        let (folder, stem) = self.stem();
        for number in 1..MOST_FILES {
            let name = if number == 1 { stem.clone() } else { format!("{stem} {number}") };
            let garment = folder.join(format!("{name}.garment.ron"));
            let pattern = format!("{name}.pattern.ron");
            if !garment.exists() && !folder.join(&pattern).exists() {
                return Ok((garment, pattern));
            }
        }
        Err(format!("{}: too many garments are called “{stem}”; move some away", folder.display()))
    }
}
