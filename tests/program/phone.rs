//! The remote's page in a real browser, as wide as a small phone.

use super::browser::Browser;
use chalkbeam::floor::{Direction, Press, Step};
use chalkbeam::remote::{Reach, Remote};
use std::time::{Duration, Instant};

/// Width of a small phone in px; WCAG 2.2, success criterion 1.4.10, asks for 320.
const WIDTH: u32 = 360;

/// Presses that come within five seconds, so many.
fn presses(remote: &Remote, count: usize) -> Vec<Press> {
    let start = Instant::now();
    let mut found = Vec::new();
    while found.len() < count && start.elapsed() < Duration::from_secs(5) {
        found.extend(remote.pressed());
        std::thread::sleep(Duration::from_millis(20));
    }
    found
}

#[test]
fn the_page_fits_a_small_phone_and_its_buttons_press_keys() {
    let Some(mut phone) = Browser::open(WIDTH, 740) else { return };
    let remote = Remote::open(Reach::ThisComputer, || ()).unwrap();
    remote.show(vec!["Stand 2 of 3.".to_owned(), "A long word that must not push the page wide: ".repeat(4)]);
    let way_in = remote.way_in().unwrap();
    phone.visit(&way_in);
    phone.until("document.readyState === 'complete' && document.querySelectorAll('button').length > 20");
    assert_eq!(remote.way_in(), None, "the code is spent");
    assert_eq!(phone.value("location.search"), "", "the code is not left in the address");
    phone.until("document.getElementById('words').textContent.startsWith('Stand 2 of 3.')");

    // Nothing sticks out, nothing lies on another button, every button is as high as a finger needs.
    let wide = phone.value("document.documentElement.scrollWidth").as_f64().unwrap();
    assert!(wide <= f64::from(WIDTH), "{wide} px wide");
    let boxes = "[...document.querySelectorAll('button')].map(b => { const r = b.getBoundingClientRect(); \
                 return [r.left, r.top, r.right, r.bottom] })";
    let boxes: Vec<[f64; 4]> = serde_json::from_value(phone.value(boxes)).unwrap();
    for (index, [left, top, right, bottom]) in boxes.iter().enumerate() {
        assert!(*left >= 0.0 && *right <= f64::from(WIDTH), "button {index} from {left} to {right} px");
        assert!(bottom - top >= 48.0 && right - left >= 48.0, "button {index} is too small for a finger");
        for [other_left, other_top, other_right, other_bottom] in &boxes[index + 1..] {
            let apart =
                right <= other_left || other_right <= left || bottom <= other_top || other_bottom <= top;
            assert!(apart, "button {index} lies on another");
        }
    }
    let nameless = "[...document.querySelectorAll('button')].filter(b => !(b.getAttribute('aria-label') || \
                    b.textContent).trim()).length";
    assert_eq!(phone.value(nameless), 0);

    let up = Press::Arrow(Direction::Up, Step::Plain);
    for (key, press) in
        [(".", Press::Character('.')), ("Enter", Press::Enter), ("X", Press::Character('x')), ("Up", up)]
    {
        let at = format!(
            "(() => {{ const b = document.querySelector('button[data-key=\"{key}\"]'); b.scrollIntoView({{block: \
             'center'}}); const r = b.getBoundingClientRect(); return [(r.left + r.right) / 2, (r.top + r.bottom) / 2] \
             }})()"
        );
        let [x, y]: [f64; 2] = serde_json::from_value(phone.value(&at)).unwrap();
        phone.tap(x, y);
        assert_eq!(presses(&remote, 1), [press], "{key}");
    }
    // What is said changes by itself.
    remote.show(vec!["Cut: back 1.".to_owned()]);
    phone.until("document.getElementById('words').textContent === 'Cut: back 1.'");
    // When the desk closes the way in, the page says so.
    drop(remote);
    phone.until("document.getElementById('words').textContent.startsWith('No answer.')");
}
