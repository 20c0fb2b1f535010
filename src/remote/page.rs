//! The page: the keys of the table as buttons for a thumb.

use crate::floor::{Action, Direction, KEYS, KeyEntry, Press, Step};

/// The arrows, by name.
const ARROWS: [(&str, Direction); 4] = [
    ("Left", Direction::Left),
    ("Up", Direction::Up),
    ("Down", Direction::Down),
    ("Right", Direction::Right),
];

/// The press that a name on the page stands for; what only the desk may do has none.
#[must_use]
pub fn press_named(name: &str) -> Option<Press> {
    if let Some((_, direction)) = ARROWS.iter().find(|(known, _)| *known == name) {
        return Some(Press::Arrow(*direction, Step::Plain));
    }
    keys().find(|entry| entry.key == name).map(|entry| entry.press)
}

/// Keys that have a button: those of the legend, and the mark before.
fn keys() -> impl Iterator<Item = &'static KeyEntry> {
    let desk_only = |action: Action| {
        matches!(action, Action::Undo | Action::Redo | Action::Save | Action::Leave | Action::Nudge(..))
    };
    KEYS.iter()
        .filter(move |entry| (entry.on_cloth || entry.press == Press::ShiftTab) && !desk_only(entry.action))
}

/// The page. It fits a phone 360 px wide; buttons are 48 px high (WCAG 2.2 asks for 24).
pub(super) fn page() -> String {
    let button = |key: &str, words: &str, class: &str| {
        let (key, words) = (escaped(key), escaped(words));
        format!("<button class=\"{class}\" data-key=\"{key}\">{words}</button>")
    };
    let first = ["Esc", "Space", ",", ".", "Enter", "X"];
    let words_of = |key: &str| keys().find(|entry| entry.key == key).map_or("", |entry| entry.words);
    let top: String = first.iter().map(|key| button(key, words_of(key), "big")).collect();
    let arrows: String = ARROWS
        .iter()
        .zip(["←", "↑", "↓", "→"])
        .map(|((name, _), sign)| {
            format!("<button class=\"arrow\" data-key=\"{name}\" aria-label=\"light {name}\">{sign}</button>")
        })
        .collect();
    let marks: String =
        ["I", "V", "Tab", "Shift Tab"].iter().map(|key| button(key, words_of(key), "small")).collect();
    let taken = |key: &str| first.contains(&key) || ["I", "V", "Tab", "Shift Tab"].contains(&key);
    let rest: String = keys()
        .filter(|entry| !taken(entry.key))
        .map(|entry| button(entry.key, entry.words, "small"))
        .collect();
    format!(
        "<!doctype html><html lang=\"en\"><head><meta charset=\"utf-8\">\
         <meta name=\"viewport\" content=\"width=device-width,initial-scale=1\"><title>chalkbeam</title><style>{STYLE}\
         </style></head><body><p id=\"words\" role=\"status\">…</p><div class=\"two\">{top}</div><div class=\"four\">\
         {arrows}</div><div class=\"two\">{marks}</div><h2>What is lit</h2><div class=\"two\">{rest}</div>\
         <p class=\"care\">Never look into the lens. Close the cutter's guard whenever you are not cutting.</p>\
         <script>{SCRIPT}</script></body></html>"
    )
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

const STYLE: &str = "*{box-sizing:border-box}body{margin:0;padding:8px;background:#17181a;color:#e9e6dc;\
    font:17px/1.3 system-ui,sans-serif}h2{font-size:17px;margin:14px 0 4px}p{margin:6px 2px;overflow-wrap:anywhere}\
    #words{min-height:4.2em;white-space:pre-line}.two,.four{display:grid;gap:6px;margin:6px 0}\
    .two{grid-template-columns:1fr 1fr}.four{grid-template-columns:repeat(4,1fr)}button{min-height:48px;font:inherit;\
    color:inherit;background:#33383c;border:1px solid #5a6268;border-radius:8px;padding:4px 6px;\
    overflow-wrap:anywhere;touch-action:manipulation}button.big{min-height:64px;background:#3d4a52}\
    button.arrow{font-size:24px}button:active{background:#5d707b}button:focus-visible{outline:3px solid #f2cf7e}\
    .care{color:#b9b5a8;font-size:15px}";

const SCRIPT: &str = "const head={'x-chalkbeam':'1'};const words=document.getElementById('words');\
    async function look(){try{const r=await fetch('/words',{headers:head});words.textContent=await r.text()}\
    catch{words.textContent='No answer. Is the remote still open at the desk?'}}\
    async function press(key){try{await fetch('/press',{method:'POST',headers:head,body:key})}catch{}\
    setTimeout(look,120)}\
    let held=0;for(const b of document.querySelectorAll('button')){const key=b.dataset.key;\
    b.addEventListener('click',()=>press(key));if(b.className==='arrow'){const stop=()=>{clearInterval(held);held=0};\
    b.addEventListener('pointerdown',()=>{stop();held=setInterval(()=>press(key),350)});\
    for(const end of ['pointerup','pointerleave','pointercancel'])b.addEventListener(end,stop)}}\
    look();setInterval(look,2000);";

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_key_of_the_legend_has_one_button() {
        let page = page();
        for entry in keys() {
            let button = format!("data-key=\"{}\"", escaped(entry.key));
            assert_eq!(page.matches(&button).count(), 1, "{}", entry.key);
            assert_eq!(press_named(entry.key), Some(entry.press));
        }
        for (name, direction) in ARROWS {
            assert_eq!(press_named(name), Some(Press::Arrow(direction, Step::Plain)));
        }
        for name in ["Ctrl Q", "Ctrl Z", "", "Arrows", "<script>"] {
            assert_eq!(press_named(name), None, "{name}");
        }
    }
}
