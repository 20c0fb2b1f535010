//! Files that were made to do harm, by the real program: each is refused in one sentence, or read, within the time and
//! memory that a reading has.

use chalkbeam::import::pdf::child::{News, Reading};
use std::path::Path;
use std::process::Command;
use std::time::{Duration, Instant};

const PROGRAM: &str = env!("CARGO_BIN_EXE_chalkbeam");

/// Twenty seconds for the reading, and some for a busy machine around it.
const LONGEST: Duration = Duration::from_secs(30);

/// A file of numbered objects, the first of them the catalogue.
fn file_of(objects: &[String]) -> Vec<u8> {
    let mut bytes = b"%PDF-1.6\n".to_vec();
    let mut places = Vec::new();
    for (object, number) in objects.iter().zip(1..) {
        places.push(bytes.len());
        bytes.extend(format!("{number} 0 obj\n{object}\nendobj\n").into_bytes());
    }
    let start = bytes.len();
    bytes.extend(format!("xref\n0 {}\n0000000000 65535 f \n", places.len() + 1).into_bytes());
    for place in &places {
        bytes.extend(format!("{place:010} 00000 n \n").into_bytes());
    }
    let size = places.len() + 1;
    bytes.extend(format!("trailer << /Size {size} /Root 1 0 R >>\nstartxref\n{start}\n%%EOF\n").into_bytes());
    bytes
}

fn stream(dictionary: &str, content: &str) -> String {
    format!("<< {dictionary} /Length {} >> stream\n{content}\nendstream", content.len())
}

/// A file of one page, with its resources, its commands and further objects from number 5 on.
fn page(resources: &str, commands: &str, more: &[String]) -> Vec<u8> {
    let mut objects = vec![
        "<< /Type /Catalog /Pages 2 0 R >>".to_owned(),
        "<< /Type /Pages /Kids [3 0 R] /Count 1 >>".to_owned(),
        format!(
            "<< /Type /Page /Parent 2 0 R /MediaBox [0 0 500 500] /Resources << {resources} >> /Contents 4 0 R >>"
        ),
        stream("", commands),
    ];
    objects.extend_from_slice(more);
    file_of(&objects)
}

/// What the program says to a file, and how it ended.
fn told(name: &str, bytes: &[u8]) -> (Option<i32>, String) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join(name);
    std::fs::write(&path, bytes).unwrap();
    let begun = Instant::now();
    // The caller has no more than the reader, so that a flood of pages would be seen as well.
    let output = Command::new("sh")
        .args(["-c", "ulimit -v 4194304; exec \"$0\" import \"$1\" --out \"$2\"", PROGRAM])
        .args([&path, &folder.path().join("out.pattern.ron")])
        .output()
        .unwrap();
    let (took, words) = (begun.elapsed(), String::from_utf8_lossy(&output.stderr).into_owned());
    eprintln!("{name}: {} bytes, {took:.1?}: {}", bytes.len(), words.lines().last().unwrap_or_default());
    assert!(took < LONGEST, "{name} took {took:?}");
    assert!(matches!(output.status.code(), Some(0 | 2)), "{name}: {:?}: {words}", output.status);
    assert!(!words.contains("panicked"), "{name}: {words}");
    (output.status.code(), words)
}

fn refused(name: &str, bytes: &[u8], expected: &str) {
    let (code, words) = told(name, bytes);
    assert_eq!(code, Some(2), "{name}: {words}");
    assert!(words.contains(expected), "{name}: “{expected}” is not in: {words}");
    assert_eq!(words.lines().count(), 1, "{name}: {words}");
}

#[test]
fn what_unpacks_to_four_gigabytes_is_refused() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/job/data/import/pdf");
    refused(
        "bomb.pdf",
        &std::fs::read(folder.join("bomb.pdf")).unwrap(),
        "needed more than 512 MB of memory",
    );
}

#[test]
fn forms_that_hold_themselves_or_fan_out_without_end_are_refused_or_ended() {
    let form = |resources: &str, commands: &str| {
        stream(
            &format!("/Type /XObject /Subtype /Form /BBox [0 0 500 500] /Resources << {resources} >>"),
            commands,
        )
    };
    let square = "10 10 400 400 re S /A Do";
    // The reader of objects follows no object into itself; what it does not follow is told.
    let ended = |name: &str, bytes: &[u8]| {
        let (code, words) = told(name, bytes);
        let told = ["are missing or could not be unpacked", "hold themselves", "repeated parts (forms)"];
        assert!(told.iter().any(|told| words.contains(told)), "{name}: {code:?}: {words}");
    };
    let itself = [form("/XObject << /A 5 0 R >>", "/A Do")];
    ended("loop.pdf", &page("/XObject << /A 5 0 R >>", square, &itself));
    let both =
        [form("/XObject << /A 6 0 R >>", "/A Do /A Do"), form("/XObject << /A 5 0 R >>", "/A Do /A Do")];
    ended("two.pdf", &page("/XObject << /A 5 0 R >>", square, &both));
    // Without resources of their own, forms take those of the page: nothing there tells a loop.
    let bare = stream("/Type /XObject /Subtype /Form /BBox [0 0 500 500]", "/A Do /A Do");
    ended("bare.pdf", &page("/XObject << /A 5 0 R >>", square, &[bare]));
    let ten = "/A Do ".repeat(10);
    let mut levels: Vec<String> =
        (6..15).map(|next| form(&format!("/XObject << /A {next} 0 R >>"), &ten)).collect();
    levels.push(form("", "0 0 m 9 9 l S"));
    refused("fan.pdf", &page("/XObject << /A 5 0 R >>", &ten, &levels), "repeated parts (forms)");
}

#[test]
fn more_layers_pages_and_lines_than_any_pattern_has_are_refused() {
    let layers = format!(
        "<< /Type /Catalog /Pages 2 0 R /OCProperties << /OCGs [{}] /D << >> >> >>",
        "5 0 R ".repeat(1_000_000)
    );
    let objects = [
        layers,
        "<< /Type /Pages /Kids [3 0 R] /Count 1 >>".to_owned(),
        "<< /Type /Page /Parent 2 0 R /Contents 4 0 R >>".to_owned(),
        stream("", "0 0 m 9 9 l S"),
        "<< /Type /OCG /Name (a) >>".to_owned(),
    ];
    refused("layers.pdf", &file_of(&objects), "more than 10000 layers");
    let kids: String = (0..3000).map(|kid| format!("{} 0 R ", kid + 3)).collect();
    let mut pages = vec![
        "<< /Type /Catalog /Pages 2 0 R >>".to_owned(),
        format!("<< /Type /Pages /Kids [{kids}] /Count 3000 >>"),
    ];
    pages.extend((0..3000).map(|_| "<< /Type /Page /Parent 2 0 R >>".to_owned()));
    refused("pages.pdf", &file_of(&pages), "more than 2000 pages");
    refused("lines.pdf", &page("", &"1 1 m 9 9 l S ".repeat(1_100_000), &[]), "more than 1000000 lines");
    refused(
        "way.pdf",
        &page("", &format!("0 0 m {} S", "9 9 l 1 1 l ".repeat(2_100_000)), &[]),
        "parts of lines",
    );
}

#[test]
fn a_thousand_pages_of_lines_that_end_at_their_edges_are_read_in_time() {
    let most: String = (0..40).map(|k| format!("0 {} m 500 {} l S ", 7 * k + 3, 11 * k + 9)).collect();
    let kids: String = (0..1000).map(|kid| format!("{} 0 R ", kid + 4)).collect();
    let mut objects = vec![
        "<< /Type /Catalog /Pages 2 0 R >>".to_owned(),
        format!("<< /Type /Pages /MediaBox [0 0 500 500] /Kids [{kids}] /Count 1000 >>"),
        stream("", &most),
    ];
    objects.extend((0..1000).map(|_| "<< /Type /Page /Parent 2 0 R /Contents 3 0 R >>".to_owned()));
    told("pages-of-lines.pdf", &file_of(&objects));
    // As many as are still put together, none like another.
    let kids: String = (0..120).map(|kid| format!("{} 0 R ", 2 * kid + 3)).collect();
    let mut objects = vec![
        "<< /Type /Catalog /Pages 2 0 R >>".to_owned(),
        format!("<< /Type /Pages /MediaBox [0 0 500 500] /Kids [{kids}] /Count 120 >>"),
    ];
    for page in 0..120 {
        objects.push(format!("<< /Type /Page /Parent 2 0 R /Contents {} 0 R >>", 2 * page + 4));
        let lines =
            (0..40).map(|k| format!("0 {} m 500 {} l S ", 7 * k + page, (13 * k + 3 * page) % 490 + 5));
        objects.push(stream("", &lines.collect::<String>()));
    }
    told("many-tiles.pdf", &file_of(&objects));
}

#[test]
fn deep_nesting_and_trees_that_hold_themselves_end() {
    let square = "20 20 300 300 re S ";
    told("brackets.pdf", &page("", &format!("{square}{}", "[".repeat(2_000_000)), &[]));
    told("dictionaries.pdf", &page("", &format!("{square}{}", "<<".repeat(1_000_000)), &[]));
    told("states.pdf", &page("", &format!("{}{square}", "q ".repeat(5_000_000)), &[]));
    told("deep.pdf", &page("", square, &[format!("{}{}", "[".repeat(500_000), "]".repeat(500_000))]));
    let tree = [
        "<< /Type /Catalog /Pages 2 0 R >>".to_owned(),
        "<< /Type /Pages /Kids [2 0 R 2 0 R 3 0 R] /Count 3 >>".to_owned(),
        "<< /Type /Pages /Kids [2 0 R 3 0 R] /Count 3 >>".to_owned(),
    ];
    refused("tree.pdf", &file_of(&tree), "has no pages, or was cut short");
    let layers = "/Properties << /A 5 0 R >>";
    let deep = format!("<< /Type /OCMD /VE {}{} >>", "[/And ".repeat(100_000), "]".repeat(100_000));
    told("expression.pdf", &page(layers, &format!("/OC /A BDC {square} EMC"), &[deep]));
}

#[test]
fn a_reading_goes_on_beside_its_caller_and_ends_when_it_is_dropped() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/job/data/import/pdf");
    let begun = Instant::now();
    let mut slow =
        Reading::start(Path::new(PROGRAM), std::fs::read(folder.join("bomb.pdf")).unwrap()).unwrap();
    assert!(matches!(slow.poll(), Ok(News::Nothing)));
    drop(slow);
    assert!(begun.elapsed() < Duration::from_secs(3), "{:?}", begun.elapsed());
    let mut quick =
        Reading::start(Path::new(PROGRAM), std::fs::read(folder.join("tiles-cut-a4.pdf")).unwrap()).unwrap();
    let mut pages = 0;
    loop {
        match quick.poll().unwrap() {
            News::Page(_) => pages += 1,
            News::Done => break,
            News::Nothing => std::thread::sleep(Duration::from_millis(5)),
        }
    }
    assert_eq!(pages, 6);
}
