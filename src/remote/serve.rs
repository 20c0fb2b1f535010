//! The server: one thread, one request at a time.

use super::answer::{Answer, answer};
use super::gate::Gate;
use super::request::{PATIENCE, Request};
use crate::floor::Press;
use std::io::Write as _;
use std::net::{IpAddr, Ipv4Addr, SocketAddr, TcpListener, TcpStream, UdpSocket};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

/// Who can reach it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reach {
    /// Programs of this computer only.
    ThisComputer,
    /// Everything on the same network.
    Network,
}

/// Why there is no remote.
#[derive(Debug, thiserror::Error)]
pub enum RemoteError {
    /// No port could be had.
    #[error("no port could be opened for the remote ({0}); a firewall may forbid it")]
    Port(#[from] std::io::Error),
    /// No random numbers.
    #[error("the system gives no random numbers for a code ({0}), and without a code nobody is let in")]
    Chance(String),
    /// No network.
    #[error("this computer is on no network that a phone could be on; join one, then open the remote again")]
    NoNetwork,
}

/// A phone's way in. Closed when it is dropped.
pub struct Remote {
    address: SocketAddr,
    /// The address to which the thread listens, to wake it.
    listens_at: SocketAddr,
    reach: Reach,
    asked: Receiver<Press>,
    shared: Arc<Shared>,
    thread: Option<JoinHandle<()>>,
}

struct Shared {
    gate: Mutex<Gate>,
    words: Mutex<Vec<String>>,
    ends: AtomicBool,
}

impl Remote {
    /// Opens a port of its own; `wake` is called whenever a key was pressed or somebody was let in.
    ///
    /// # Errors
    /// [`RemoteError`].
    pub fn open(reach: Reach, wake: impl Fn() + Send + 'static) -> Result<Self, RemoteError> {
        let (bind, called) = match reach {
            Reach::ThisComputer => (Ipv4Addr::LOCALHOST.into(), Ipv4Addr::LOCALHOST.into()),
            Reach::Network => (Ipv4Addr::UNSPECIFIED.into(), own_address().ok_or(RemoteError::NoNetwork)?),
        };
        let listener = TcpListener::bind(SocketAddr::new(bind, 0))?;
        let port = listener.local_addr()?.port();
        let address = SocketAddr::new(called, port);
        let listens_at = SocketAddr::new(Ipv4Addr::LOCALHOST.into(), port);
        let shared = Arc::new(Shared {
            gate: Mutex::new(Gate::new()?),
            words: Mutex::new(Vec::new()),
            ends: AtomicBool::new(false),
        });
        let (sender, asked) = channel();
        let hosts = vec![address.to_string(), listens_at.to_string(), format!("localhost:{port}")];
        let keeps = Arc::clone(&shared);
        let thread = std::thread::Builder::new()
            .name("remote".to_owned())
            .spawn(move || serve(&listener, &keeps, &hosts, &sender, &wake))?;
        Ok(Self { address, listens_at, reach, asked, shared, thread: Some(thread) })
    }

    /// Who can reach it.
    #[must_use]
    pub const fn reach(&self) -> Reach {
        self.reach
    }

    /// The address with the code, until somebody used it.
    #[must_use]
    pub fn way_in(&self) -> Option<String> {
        let gate = self.shared.gate.lock().unwrap_or_else(PoisonError::into_inner);
        if gate.is_shut() {
            return None;
        }
        gate.code().map(|code| format!("http://{}/?code={code}", self.address))
    }

    /// Whether too many wrong codes were tried: nobody is let in any more.
    #[must_use]
    pub fn is_shut(&self) -> bool {
        self.shared.gate.lock().unwrap_or_else(PoisonError::into_inner).is_shut()
    }

    /// The keys that were pressed since it was asked last.
    pub fn pressed(&self) -> impl Iterator<Item = Press> + '_ {
        self.asked.try_iter()
    }

    /// What the page shows from now on.
    pub fn show(&self, words: Vec<String>) {
        *self.shared.words.lock().unwrap_or_else(PoisonError::into_inner) = words;
    }
}

impl Drop for Remote {
    fn drop(&mut self) {
        self.shared.ends.store(true, Ordering::SeqCst);
        // The thread waits for a call: this is one.
        drop(TcpStream::connect_timeout(&self.listens_at, Duration::from_millis(500)));
        if let Some(thread) = self.thread.take() {
            drop(thread.join());
        }
    }
}

fn serve(listener: &TcpListener, shared: &Shared, hosts: &[String], sender: &Sender<Press>, wake: &dyn Fn()) {
    for stream in listener.incoming() {
        if shared.ends.load(Ordering::SeqCst) {
            return;
        }
        let Ok(mut stream) = stream else {
            // No file left, or the like: it is not helped by asking at once again.
            std::thread::sleep(Duration::from_millis(100));
            continue;
        };
        let waits = stream.set_read_timeout(Some(PATIENCE)).and(stream.set_write_timeout(Some(PATIENCE)));
        let Some(request) = waits.ok().and_then(|()| Request::read(&mut stream)) else { continue };
        let words = shared.words.lock().unwrap_or_else(PoisonError::into_inner).clone();
        let shut_now;
        let answer = {
            let mut gate = shared.gate.lock().unwrap_or_else(PoisonError::into_inner);
            let was_shut = gate.is_shut();
            let answer = answer(&mut gate, &request, hosts, &words, Instant::now());
            shut_now = gate.is_shut() && !was_shut;
            answer
        };
        let text = match answer {
            // That the door is shut for good is said on the cloth at once.
            Answer::Silence if shut_now => {
                wake();
                continue;
            }
            Answer::Silence => continue,
            Answer::Say(text) => text,
            Answer::Press(press, text) => {
                // Nobody listens any more only when the program ends.
                if sender.send(press).is_err() {
                    return;
                }
                text
            }
        };
        // Whoever went away meanwhile misses it.
        drop(stream.write_all(text.as_bytes()));
        wake();
    }
}

/// The address of this computer on its network: that of the socket from which a packet outwards would be sent. None is.
fn own_address() -> Option<IpAddr> {
    let socket = UdpSocket::bind((Ipv4Addr::UNSPECIFIED, 0)).ok()?;
    // An address for documentation (RFC 5737) that is never reached.
    socket.connect((Ipv4Addr::new(192, 0, 2, 1), 9)).ok()?;
    let address = socket.local_addr().ok()?.ip();
    (!address.is_loopback() && !address.is_unspecified()).then_some(address)
}
