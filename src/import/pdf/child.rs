//! PDF files are read by a process of its own, which may die without harm.
//!
//! The program calls itself ([`COMMAND`]); the file goes in by standard input, pages come out by standard
//! output one by one. The process is given so much memory and time and no more (`limits`), and is ended when its
//! caller loses interest ([`Reading`] is dropped).

use super::error::PdfError;
use super::limits::{MOST_MEMORY, TIME, limit_this_process, memory_for};
use super::page::Page;
use super::read_pages;
use super::wire::{Message, receive, send};
use std::io::{BufReader, BufWriter, Read, Write};
use std::path::Path;
use std::process::{Child, Command, ExitStatus, Stdio};
use std::sync::mpsc::{Receiver, RecvTimeoutError, TryRecvError, channel};
use std::time::Instant;

/// The program's hidden command that reads a PDF file.
pub const COMMAND: &str = "read-pdf";

/// Reads a PDF file on its way in and sends its pages out: what the process does.
///
/// # Errors
/// Only when nothing can be sent; what is wrong with the file is sent.
pub fn serve(mut from: impl Read, to: impl Write) -> std::io::Result<()> {
    limit_this_process(MOST_MEMORY);
    let mut to = BufWriter::with_capacity(1 << 20, to);
    let mut bytes = Vec::new();
    from.read_to_end(&mut bytes)?;
    limit_this_process(memory_for(bytes.len()));
    let mut sent = Ok(());
    let read = read_pages(&bytes, |page| {
        if sent.is_ok() {
            sent = send(&mut to, &Message::Page(Box::new(page))).and_then(|()| to.flush());
        }
    });
    sent?;
    let last = match read {
        Ok(()) => Message::Done,
        Err(error) => Message::Failed(error),
    };
    send(&mut to, &last)?;
    to.flush()
}

/// What comes of a reading.
#[derive(Debug)]
pub enum News {
    /// Another page.
    Page(Box<Page>),
    /// All pages have come.
    Done,
    /// Nothing yet.
    Nothing,
}

/// A file that is being read. Dropping it ends the reading.
#[derive(Debug)]
pub struct Reading {
    child: Child,
    news: Receiver<Result<Message, PdfError>>,
    until: Instant,
    memory: u64,
}

impl Reading {
    /// Begins to read a file by the given program, which is this one ([`std::env::current_exe`]).
    ///
    /// # Errors
    /// [`PdfError::NotStarted`].
    pub fn start(program: &Path, bytes: Vec<u8>) -> Result<Self, PdfError> {
        let not_started =
            |reason: String| PdfError::NotStarted { program: program.display().to_string(), reason };
        let mut child = Command::new(program)
            .arg(COMMAND)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .map_err(|error| not_started(error.to_string()))?;
        let (Some(mut input), Some(output)) = (child.stdin.take(), child.stdout.take()) else {
            return Err(not_started("it has no input or no output".to_owned()));
        };
        let (tell, news) = channel();
        let memory = memory_for(bytes.len());
        // Both threads end with the process, whose pipes break then.
        std::thread::spawn(move || drop(input.write_all(&bytes)));
        std::thread::spawn(move || {
            let mut output = BufReader::with_capacity(1 << 20, output);
            while let Some(message) = receive(&mut output).transpose() {
                let last = !matches!(message, Ok(Message::Page(_)));
                if tell.send(message).is_err() || last {
                    break;
                }
            }
        });
        Ok(Self { child, news, until: Instant::now() + TIME, memory })
    }

    /// What has come since, without waiting: for a window that goes on meanwhile.
    ///
    /// # Errors
    /// [`PdfError`] once the reading has failed or taken too long.
    pub fn poll(&mut self) -> Result<News, PdfError> {
        match self.news.try_recv() {
            Ok(message) => news_of(message),
            Err(TryRecvError::Empty) if Instant::now() < self.until => Ok(News::Nothing),
            Err(TryRecvError::Empty) => Err(self.too_slow()),
            Err(TryRecvError::Disconnected) => Err(self.death()),
        }
    }

    /// All pages, when they have come.
    ///
    /// # Errors
    /// [`PdfError`].
    pub fn wait(mut self) -> Result<Vec<Page>, PdfError> {
        let mut pages = Vec::new();
        loop {
            let left = self.until.saturating_duration_since(Instant::now());
            match self.news.recv_timeout(left) {
                Ok(message) => match news_of(message)? {
                    News::Page(page) => pages.push(*page),
                    News::Done => return Ok(pages),
                    News::Nothing => {}
                },
                Err(RecvTimeoutError::Timeout) => return Err(self.too_slow()),
                Err(RecvTimeoutError::Disconnected) => return Err(self.death()),
            }
        }
    }

    fn too_slow(&mut self) -> PdfError {
        self.end();
        PdfError::TooSlow { seconds: TIME.as_secs() }
    }

    /// Why the process ended before all pages had come.
    fn death(&mut self) -> PdfError {
        let how = match self.child.wait() {
            Ok(status) => told(status),
            Err(error) => error.to_string(),
        };
        PdfError::Died { megabytes: self.memory / (1024 * 1024), how }
    }

    fn end(&mut self) {
        // A process that has ended by itself can't be killed, and needs it no more.
        let _killed = self.child.kill();
        let _ended = self.child.wait();
    }
}

impl Drop for Reading {
    fn drop(&mut self) {
        self.end();
    }
}

fn news_of(message: Result<Message, PdfError>) -> Result<News, PdfError> {
    match message? {
        Message::Page(page) => Ok(News::Page(page)),
        Message::Done => Ok(News::Done),
        Message::Failed(error) => Err(error),
    }
}

#[cfg(unix)]
fn told(status: ExitStatus) -> String {
    use std::os::unix::process::ExitStatusExt as _;
    match (status.code(), status.signal()) {
        (Some(code), _) => format!("it ended with {code}"),
        (None, Some(signal)) => format!("it was ended by signal {signal}"),
        (None, None) => "it ended".to_owned(),
    }
}

#[cfg(not(unix))]
fn told(status: ExitStatus) -> String {
    status.code().map_or_else(|| "it ended".to_owned(), |code| format!("it ended with {code}"))
}
