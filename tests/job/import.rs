//! Drawings of other programs become patterns: at true size, or not at all.

mod border;
mod by_hand;
mod coat;
mod corrections;
mod dxf;
mod dxf_layers;
mod elsewhere;
mod marks;
mod not_pieces;
mod oracle;
mod pdf;
mod refused;
mod scale;
mod scan;
mod scan_marks;
mod sizes;
mod stretched;
mod strokes;
mod thin;

use chalkbeam::import::{self, ImportError, Imported, Options};
use chalkbeam::pattern::Piece;

fn read(text: &str) -> Result<Imported, ImportError> {
    import::svg::read(text.as_bytes(), &Options::default())
}

fn read_with(text: &str, options: &Options) -> Result<Imported, ImportError> {
    import::read(text.as_bytes(), options)
}

fn finding<'a>(imported: &'a Imported, words: &str) -> &'a chalkbeam::finding::Finding {
    let found = imported.findings.iter().find(|finding| finding.what.contains(words));
    found.unwrap_or_else(|| panic!("nothing says “{words}” among {:?}", imported.findings))
}

/// A drawing of the given contents, 200 mm by 200 mm, a unit a millimetre.
fn sheet(contents: &str) -> String {
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"200mm\" height=\"200mm\" viewBox=\"0 0 200 200\">{contents}</svg>"
    )
}

fn imported(contents: &str) -> Imported {
    read(&sheet(contents)).unwrap_or_else(|error| panic!("{error}"))
}

fn piece<'a>(imported: &'a Imported, id: &str) -> &'a Piece {
    let sized = imported.pattern.pieces.iter().find(|sized| sized.id.as_str() == id);
    let ids: Vec<_> = imported.pattern.pieces.iter().map(|sized| sized.id.to_string()).collect();
    &sized.unwrap_or_else(|| panic!("no {id} among {ids:?}")).by_size[0]
}

fn says(imported: &Imported, words: &str) -> bool {
    imported.findings.iter().any(|finding| finding.what.contains(words))
}
