//! What a browser asks for, as far as it is of any interest.

use std::io::Read;
use std::time::{Duration, Instant};

/// Most bytes of a request, head and body.
const MOST_BYTES: usize = 8192;
/// Most lines of a head.
const MOST_HEADERS: usize = 64;
/// How long a request may take to arrive.
pub(super) const PATIENCE: Duration = Duration::from_millis(1500);

/// A request.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(super) struct Request {
    /// `GET`, `POST`.
    pub(super) method: String,
    /// The path without what comes after `?`.
    pub(super) path: String,
    /// What comes after `?`.
    pub(super) query: String,
    /// The name that the browser called.
    pub(super) host: String,
    /// The token in its cookie.
    pub(super) token: String,
    /// Whether it has the header that only our own page sends.
    pub(super) is_ours: bool,
    /// The body.
    pub(super) body: String,
}

impl Request {
    /// Reads a request; `None` for anything that is none, too large, or too slow.
    pub(super) fn read(stream: &mut impl Read) -> Option<Self> {
        let start = Instant::now();
        let mut bytes = Vec::new();
        let mut part = [0_u8; 1024];
        loop {
            if let Some(request) = Self::parse(&bytes)? {
                return Some(request);
            }
            if bytes.len() >= MOST_BYTES || start.elapsed() > PATIENCE {
                return None;
            }
            let read = stream.read(&mut part).ok().filter(|read| *read > 0)?;
            bytes.extend_from_slice(part.get(..read)?);
        }
    }

    /// The request in these bytes: `Some(None)` while it is not whole, `None` when it will never be one.
    fn parse(bytes: &[u8]) -> Option<Option<Self>> {
        let mut headers = [httparse::EMPTY_HEADER; MOST_HEADERS];
        let mut head = httparse::Request::new(&mut headers);
        let httparse::Status::Complete(length) = head.parse(bytes).ok()? else { return Some(None) };
        let header = |name: &str| {
            let found = head.headers.iter().find(|header| header.name.eq_ignore_ascii_case(name));
            found.and_then(|header| std::str::from_utf8(header.value).ok()).unwrap_or_default()
        };
        let count =
            |name: &str| head.headers.iter().filter(|header| header.name.eq_ignore_ascii_case(name)).count();
        // Two names or two lengths are no browser's: whoever sends them hopes that one of them is not looked at.
        let is_doubtful = ["host", "content-length", "cookie"].into_iter().any(|name| count(name) > 1);
        if count("transfer-encoding") > 0 || is_doubtful {
            return None;
        }
        let body = match header("content-length") {
            "" => 0,
            count => count.trim().parse::<usize>().ok().filter(|count| *count <= MOST_BYTES)?,
        };
        let Some(body) = bytes.get(length..length + body) else { return Some(None) };
        let whole = head.path?;
        let (path, query) = whole.split_once('?').unwrap_or((whole, ""));
        let cookies = header("cookie").split(';').filter_map(|pair| pair.trim().split_once('='));
        let token =
            cookies.into_iter().find(|(name, _)| *name == super::answer::COOKIE).map(|(_, token)| token);
        Some(Some(Self {
            method: head.method?.to_owned(),
            path: path.to_owned(),
            query: query.to_owned(),
            host: header("host").to_owned(),
            token: token.unwrap_or_default().to_owned(),
            is_ours: header("x-chalkbeam") == "1",
            body: String::from_utf8(body.to_vec()).ok()?,
        }))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn what_matters_is_taken_from_a_request() {
        let text = "POST /press?x=1 HTTP/1.1\r\nHost: 127.0.0.1:80\r\nCookie: a=b; chalkbeam=T\r\nX-Chalkbeam: 1\r\n\
                    Content-Length: 3\r\n\r\nTab";
        let request = Request::read(&mut text.as_bytes()).unwrap();
        let expected = Request {
            method: "POST".into(),
            path: "/press".into(),
            query: "x=1".into(),
            host: "127.0.0.1:80".into(),
            token: "T".into(),
            is_ours: true,
            body: "Tab".into(),
        };
        assert_eq!(request, expected);
    }

    #[test]
    fn what_is_no_request_is_none() {
        for text in
            ["", "GET", "\r\n\r\n", "GET / HTTP/1.1\r\nContent-Length: 99\r\n\r\nx", "GET / HTTP/9\r\n\r\n"]
        {
            assert_eq!(Request::read(&mut text.as_bytes()), None, "{text}");
        }
        let endless = "A".repeat(100_000);
        assert_eq!(Request::read(&mut endless.as_bytes()), None);
        let chunked = "POST / HTTP/1.1\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n";
        assert_eq!(Request::read(&mut chunked.as_bytes()), None);
    }

    proptest! {
        #[test]
        fn nothing_that_is_sent_ends_the_program(bytes: Vec<u8>) {
            let mut bytes = bytes.as_slice();
            let _request = Request::read(&mut bytes);
        }
    }
}
