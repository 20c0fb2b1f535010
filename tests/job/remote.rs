//! The remote over a real socket: who is let in, what is pressed, and that nothing else gets a word.

use chalkbeam::floor::Press;
use chalkbeam::remote::{Reach, Remote, code_modules};
use std::io::{Read as _, Write as _};
use std::net::TcpStream;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::{Duration, Instant};

/// The remote, and the address and code of its way in.
struct Phone {
    remote: Remote,
    address: String,
    code: String,
    woken: Arc<AtomicUsize>,
}

fn phone() -> Phone {
    let woken = Arc::new(AtomicUsize::new(0));
    let counts = Arc::clone(&woken);
    let wake = move || {
        counts.fetch_add(1, Ordering::SeqCst);
    };
    let remote = Remote::open(Reach::ThisComputer, wake).unwrap();
    let way_in = remote.way_in().unwrap();
    let (address, code) = way_in.strip_prefix("http://").unwrap().split_once("/?code=").unwrap();
    let (address, code) = (address.to_owned(), code.to_owned());
    Phone { remote, address, code, woken }
}

impl Phone {
    /// Everything that is answered to these lines.
    fn asks(&self, lines: &str) -> String {
        let mut stream = TcpStream::connect(&self.address).unwrap();
        stream.set_read_timeout(Some(Duration::from_secs(5))).unwrap();
        let whole = lines.replace("HOST", &self.address).replace('\n', "\r\n");
        stream.write_all(whole.as_bytes()).unwrap();
        let mut said = Vec::new();
        // A door that is shut in the middle of a word says nothing.
        drop(stream.read_to_end(&mut said));
        String::from_utf8(said).unwrap()
    }

    fn enters(&self) -> String {
        let said = self.asks(&format!("GET /?code={} HTTP/1.1\nHost: HOST\n\n", self.code));
        assert!(said.starts_with("HTTP/1.1 303"), "{said}");
        let cookie = said.lines().find_map(|line| line.strip_prefix("Set-Cookie: ")).unwrap();
        assert!(cookie.contains("HttpOnly") && cookie.contains("SameSite=Strict"));
        cookie.split(';').next().unwrap().to_owned()
    }

    fn presses(&self, cookie: &str, key: &str) -> String {
        let length = key.len();
        self.asks(&format!(
            "POST /press HTTP/1.1\nHost: HOST\nCookie: {cookie}\nX-Chalkbeam: 1\nContent-Length: {length}\n\n{key}"
        ))
    }
}

#[test]
fn the_code_lets_one_phone_in_and_its_keys_are_pressed() {
    let phone = phone();
    let cookie = phone.enters();
    assert_eq!(phone.remote.way_in(), None, "the code is spent");
    assert_eq!(phone.asks(&format!("GET /?code={} HTTP/1.1\nHost: HOST\n\n", phone.code)), "");
    let page = phone.asks(&format!("GET / HTTP/1.1\nHost: HOST\nCookie: {cookie}\n\n"));
    assert!(page.starts_with("HTTP/1.1 200") && page.contains("next piece alone"));
    for (key, press) in [(".", Press::Character('.')), ("Tab", Press::Tab), ("Enter", Press::Enter)] {
        assert!(phone.presses(&cookie, key).starts_with("HTTP/1.1 200"));
        assert_eq!(phone.remote.pressed().collect::<Vec<_>>(), [press]);
    }
    assert!(phone.woken.load(Ordering::SeqCst) >= 4);
    phone.remote.show(vec!["Stand 2 of 3.".to_owned(), "±0.7 mm".to_owned()]);
    let words = phone.asks(&format!("GET /words HTTP/1.1\nHost: HOST\nX-Chalkbeam: 1\nCookie: {cookie}\n\n"));
    assert!(words.ends_with("\r\n\r\nStand 2 of 3.\n±0.7 mm"), "{words}");
}

#[test]
fn no_other_request_is_answered() {
    let phone = phone();
    let cookie = phone.enters();
    let port = phone.address.split(':').next_back().unwrap();
    for lines in [
        "GET / HTTP/1.1\nHost: HOST\n\n".to_owned(),
        "GET /favicon.ico HTTP/1.1\nHost: HOST\n\n".to_owned(),
        format!("GET /etc/passwd HTTP/1.1\nHost: HOST\nCookie: {cookie}\n\n"),
        "GET / HTTP/1.1\nHost: HOST\nCookie: chalkbeam=GUESS\n\n".to_owned(),
        // By another name, as a page of somewhere else would have it.
        format!("GET / HTTP/1.1\nHost: evil.example:{port}\nCookie: {cookie}\n\n"),
        // Without our own header, as a form of somewhere else would send it.
        format!("POST /press HTTP/1.1\nHost: HOST\nCookie: {cookie}\nContent-Length: 1\n\n."),
        format!(
            "POST /press HTTP/1.1\nHost: HOST\nCookie: {cookie}\nX-Chalkbeam: 1\nContent-Length: 6\n\nCtrl Q"
        ),
        format!("DELETE / HTTP/1.1\nHost: HOST\nCookie: {cookie}\n\n"),
        "nonsense\n\n".to_owned(),
        // Two names, of which one is ours; two lengths; a head that never ends; a body without an end.
        format!("GET / HTTP/1.1\nHost: evil.example:{port}\nHost: HOST\nCookie: {cookie}\n\n"),
        format!("GET / HTTP/1.1\nHost: HOST\nHost: evil.example:{port}\nCookie: {cookie}\n\n"),
        format!(
            "POST /press HTTP/1.1\nHost: HOST\nCookie: {cookie}\nX-Chalkbeam: 1\nContent-Length: 1\n\
             Content-Length: 99\n\n."
        ),
        format!("GET / HTTP/1.1\nHost: HOST\nCookie: {cookie}\nX-Long: {}\n\n", "a".repeat(20_000)),
        format!("GET / HTTP/1.1\nHost: HOST\nCookie: {cookie}\n{}\n", "X-More: 1\n".repeat(200)),
        format!(
            "POST /press HTTP/1.1\nHost: HOST\nCookie: {cookie}\nX-Chalkbeam: 1\nContent-Length: 9000\n\n."
        ),
        // Whatever else a browser of somewhere else may try first.
        format!("OPTIONS /press HTTP/1.1\nHost: HOST\nOrigin: http://evil.example\nCookie: {cookie}\n\n"),
        format!("HEAD / HTTP/1.1\nHost: HOST\nCookie: {cookie}\n\n"),
        format!("PUT /press HTTP/1.1\nHost: HOST\nX-Chalkbeam: 1\nCookie: {cookie}\nContent-Length: 1\n\n."),
        format!("GET /press HTTP/1.1\nHost: HOST\nX-Chalkbeam: 1\nCookie: {cookie}\n\n"),
        format!("GET http://HOST/ HTTP/1.1\nHost: HOST\nCookie: {cookie}\n\n"),
        format!("GET /../ HTTP/1.1\nHost: HOST\nCookie: {cookie}\n\n"),
        format!("GET / HTTP/1.1\nCookie: {cookie}\n\n"),
    ] {
        assert_eq!(phone.asks(&lines), "", "{lines}");
    }
    assert_eq!(phone.remote.pressed().count(), 0);
}

#[test]
fn guessing_the_code_shuts_the_door() {
    let phone = phone();
    for _ in 0..10 {
        assert_eq!(phone.asks("GET /?code=ABCDEFGHJKLM HTTP/1.1\nHost: HOST\n\n"), "");
    }
    assert!(phone.remote.is_shut() && phone.remote.way_in().is_none());
    assert!(
        phone.woken.load(Ordering::SeqCst) >= 1,
        "the windows are told, so that the code is lit no longer"
    );
    assert_eq!(phone.asks(&format!("GET /?code={} HTTP/1.1\nHost: HOST\n\n", phone.code)), "");
}

#[test]
fn a_flood_of_presses_is_held_back() {
    let phone = phone();
    let cookie = phone.enters();
    let start = Instant::now();
    let answered = (0..120).filter(|_| !phone.presses(&cookie, ".").is_empty()).count();
    let allowed = 40.0 + 20.0 * start.elapsed().as_secs_f64() + 1.0;
    assert!(f64::from(u32::try_from(answered).unwrap()) <= allowed, "{answered} of {allowed}");
    assert!(answered < 120 || start.elapsed() > Duration::from_secs(4));
}

#[test]
fn it_listens_to_this_computer_alone_and_is_gone_when_it_is_closed() {
    let phone = phone();
    assert!(phone.address.starts_with("127.0.0.1:"));
    let address = phone.address.clone();
    drop(phone);
    assert!(TcpStream::connect(&address).is_err());
}

/// Finder patterns of 7 × 7 modules in three corners, and versions of 21 + 4·n modules a side (ISO/IEC 18004, from
/// memory).
#[test]
fn the_code_has_the_shape_of_one() {
    let modules = code_modules("http://192.168.1.23:48123/?code=ABCDEFGHJKLM").unwrap();
    let side = modules.len();
    assert!(side >= 21 && (side - 21).is_multiple_of(4) && modules.iter().all(|row| row.len() == side));
    for (x, y) in [(0, 0), (side - 7, 0), (0, side - 7)] {
        for row in 0..7 {
            for column in 0..7 {
                let edge = [0, 6].contains(&row) || [0, 6].contains(&column);
                let heart = (2..5).contains(&row) && (2..5).contains(&column);
                assert_eq!(modules[y + row][x + column], edge || heart, "{x} {y} {row} {column}");
            }
        }
    }
    assert_eq!(code_modules(&"x".repeat(10_000)), None);
}
