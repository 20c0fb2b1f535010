//! What the words of a pattern file say: `Piece Name: FRONT`, `Size: 38`, `Units: METRIC`.
//!
//! The keys of ASTM D6673 (from memory).

use crate::pattern::{ClothKind, Cutting, HowCut};

/// What a line of words tells.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Told {
    Name(String),
    Size(String),
    SampleSize(String),
    Style(String),
    Quantity(Cutting),
    Material(ClothKind),
    /// Millimetres in one unit, and the word that says so.
    Unit(f64, String),
    /// Something for a person: an annotation, a category.
    Words(String),
    /// Dates, makers, versions.
    Nothing,
}

/// Millimetres in a unit that `Units:` names.
const UNITS: [(&str, f64); 8] = [
    ("METRIC", 1.0),
    ("MM", 1.0),
    ("MILLIMETERS", 1.0),
    ("CM", 10.0),
    ("CENTIMETERS", 10.0),
    ("ENGLISH", 25.4),
    ("INCHES", 25.4),
    ("IN", 25.4),
];

/// What words tell, if they begin with a key.
pub(super) fn told(words: &str) -> Option<Told> {
    let (key, value) = words.split_once(':')?;
    let value = value.trim();
    let told = match key.trim().to_lowercase().as_str() {
        "piece name" => Told::Name(value.to_owned()),
        "size" => Told::Size(value.to_owned()),
        "sample size" => Told::SampleSize(value.to_owned()),
        "style name" => Told::Style(value.to_owned()),
        "quantity" => quantity(value).map_or_else(|| Told::Words(words.to_owned()), Told::Quantity),
        "material" => Told::Material(cloth(value)),
        "units" => {
            let upper = value.to_uppercase();
            match UNITS.iter().find(|(word, _)| *word == upper) {
                Some((_, mm)) => Told::Unit(*mm, value.to_owned()),
                None => Told::Words(words.to_owned()),
            }
        }
        "annotation" | "category" => Told::Words(value.to_owned()),
        "creation date" | "creation time" | "author" | "product" | "version" | "grade rule table"
        | "data structure" | "size system" => Told::Nothing,
        _ => return None,
    };
    let empty = matches!(&told, Told::Name(v) | Told::Size(v) | Told::SampleSize(v) | Told::Style(v) | Told::Words(v) if v.is_empty());
    Some(if empty { Told::Nothing } else { told })
}

/// `2`, or `1,1` for so many as drawn and so many mirrored.
fn quantity(value: &str) -> Option<Cutting> {
    let counts: Option<Vec<u32>> = value
        .split([',', '/', ';'])
        .map(|part| part.trim().parse().ok().filter(|count| *count <= 1000))
        .collect();
    let counts = counts?;
    let count: u32 = counts.iter().sum();
    let mirrored = counts.len() == 2 && counts.iter().all(|part| *part > 0);
    (count > 0).then_some(Cutting {
        cloth: ClothKind::Cloth,
        count,
        how: if mirrored { HowCut::MirroredPair } else { HowCut::Single },
    })
}

fn cloth(value: &str) -> ClothKind {
    let lower = value.to_lowercase();
    if lower.contains("lining") && !lower.contains("interlining") {
        ClothKind::Lining
    } else if lower.contains("interfac") || lower.contains("fus") {
        ClothKind::Interfacing
    } else {
        ClothKind::Cloth
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_are_read_in_any_case_and_other_words_are_left() {
        assert_eq!(told("PIECE NAME: Front"), Some(Told::Name("Front".to_owned())));
        assert_eq!(told("Units: English"), Some(Told::Unit(25.4, "English".to_owned())));
        assert_eq!(told("Cut here: twice"), None);
        assert_eq!(told("Size:"), Some(Told::Nothing));
        let Some(Told::Quantity(pair)) = told("Quantity: 1,1") else {
            panic!("no quantity");
        };
        assert_eq!((pair.count, pair.how), (2, HowCut::MirroredPair));
    }
}
