//! What is answered to whom.

use super::gate::Gate;
use super::page::{page, press_named};
use super::request::Request;
use crate::floor::Press;
use std::time::Instant;

/// Name of the cookie that holds the token.
pub(super) const COOKIE: &str = "chalkbeam";

/// What is done about a request.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Answer {
    /// Nothing is said at all.
    Silence,
    /// Words are said.
    Say(String),
    /// A key is pressed, and that is said.
    Press(Press, String),
}

/// What to answer; `hosts` are the names by which this server may be called, `words` what the page shows.
pub(super) fn answer(
    gate: &mut Gate,
    request: &Request,
    hosts: &[String],
    words: &[String],
    now: Instant,
) -> Answer {
    // A page of somewhere else may have made a browser call us by another name.
    if gate.is_shut() || !gate.has_room(now) || !hosts.contains(&request.host) {
        return Answer::Silence;
    }
    let code = request.query.strip_prefix("code=");
    if let ("GET", "/", Some(code)) = (request.method.as_str(), request.path.as_str(), code) {
        return gate.admit(code).map_or(Answer::Silence, |token| Answer::Say(enter(&token)));
    }
    if !gate.knows(&request.token) {
        return Answer::Silence;
    }
    match (request.method.as_str(), request.path.as_str()) {
        ("GET", "/") => Answer::Say(say("text/html; charset=utf-8", &page())),
        ("GET", "/words") if request.is_ours => {
            Answer::Say(say("text/plain; charset=utf-8", &words.join("\n")))
        }
        ("POST", "/press") if request.is_ours => match press_named(&request.body) {
            Some(press) => Answer::Press(press, say("text/plain; charset=utf-8", "")),
            None => Answer::Silence,
        },
        _ => Answer::Silence,
    }
}

/// Whoever brought the code gets a token, and the page without the code in its address.
fn enter(token: &str) -> String {
    format!(
        "HTTP/1.1 303 See Other\r\nLocation: /\r\nSet-Cookie: {COOKIE}={token}; Path=/; HttpOnly; SameSite=Strict\r\n\
         Content-Length: 0\r\nCache-Control: no-store\r\nReferrer-Policy: no-referrer\r\nConnection: close\r\n\r\n"
    )
}

fn say(kind: &str, body: &str) -> String {
    format!(
        "HTTP/1.1 200 OK\r\nContent-Type: {kind}\r\nContent-Length: {}\r\nCache-Control: no-store\r\n\
         Content-Security-Policy: default-src 'none'; script-src 'unsafe-inline'; style-src 'unsafe-inline'; \
         connect-src 'self'; frame-ancestors 'none'; base-uri 'none'; form-action 'none'\r\n\
         X-Content-Type-Options: nosniff\r\nReferrer-Policy: no-referrer\r\nConnection: close\r\n\r\n{body}",
        body.len()
    )
}
