//! Drawings of other programs become patterns: at true size, or not at all.

use crate::coat::{demo, drafted, svg};
use chalkbeam::import::{self, Imported, Options, svg::ImportError};
use std::fs;

fn read(text: &str) -> Result<Imported, ImportError> {
    import::svg::read(text.as_bytes(), &Options::default())
}

#[test]
fn look() {
    let text = fs::read_to_string(demo("garden-coat.svg")).unwrap();
    let imported = read(&text).unwrap();
    for sized in &imported.pattern.pieces {
        let p = &sized.by_size[0];
        eprintln!("{} {:?}", p.id, p.grainline);
        for e in &p.edges {
            eprintln!(
                "   {} {:?} {:.3} [{}]",
                e.id,
                e.role,
                e.curve.length(),
                e.curve.segments().len()
            );
        }
        for n in &p.notches {
            eprintln!("   notch {} {} {:.3} {:?}", n.id, n.edge, n.distance, n.kind);
        }
        for n in &p.inner_lines {
            eprintln!("   line {} {:.3}", n.name, n.curve.length());
        }
        for n in &p.drill_holes {
            eprintln!("   hole {:?}", n);
        }
        for n in &p.texts {
            eprintln!("   text {:?}", n);
        }
    }
    for f in &imported.findings {
        eprintln!("{f:?}");
    }
    panic!();
}
